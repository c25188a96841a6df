// How much of the near sky is hidden, from the prepass. Result: occlusion, then the depth in two bytes for the blur.
in vec2 target_uv;
uniform sampler2D source;      // id and normal
uniform sampler2D scene_depth;
uniform vec4 lens;             // x, y: 1 / projection scale; z, w: depth = z / (w - ndc depth)
uniform vec4 reach;            // x: radius, mm; y: pixels per mm at distance 1; z: greatest radius, pixels; w: bias
uniform vec4 cut_plane;        // of the section in view space: dot(p, xyz) = w
uniform vec2 shift;            // offset of the view axis in the target, normalised device coordinates
layout(location = 0) out vec4 result;

vec3 unfolded(vec2 p) {
    p = p * 2.0 - 1.0;
    vec3 n = vec3(p, 1.0 - abs(p.x) - abs(p.y));
    float t = max(-n.z, 0.0);
    n.x += n.x >= 0.0 ? -t : t;
    n.y += n.y >= 0.0 ? -t : t;
    return normalize(n);
}

float distance_at(ivec2 p) {
    return lens.z / (lens.w - (texelFetch(scene_depth, p, 0).r * 2.0 - 1.0));
}

vec3 place_at(vec2 pixel_centre, float d) {
    vec2 ndc = pixel_centre * screen.zw * 2.0 - 1.0;
    return vec3((ndc - shift) * lens.xy * d, -d);
}

void main() {
    ivec2 here = ivec2(gl_FragCoord.xy);
    float raw = texelFetch(scene_depth, here, 0).r;
    if (raw >= 1.0) {
        result = vec4(1.0);
        return;
    }
    float d = lens.z / (lens.w - (raw * 2.0 - 1.0));
    vec3 p = place_at(gl_FragCoord.xy, d);
    vec4 what = texelFetch(source, here, 0);
    vec3 n = unfolded(what.ba);
    if (what.r > 0.5) {
        // A cut face lies in the section plane, not where its depth says.
        p *= cut_plane.w / dot(p, cut_plane.xyz);
        n = cut_plane.xyz;
        d = -p.z;
    }
    ivec2 whole = here + ivec2(pixel.xy);
    float turn = float((3 * (whole.x ^ whole.y) + whole.x * whole.y) & 15) * (6.2831853 / 16.0);
    float radius = min(reach.x * reach.y / d, reach.z);
    float hidden = 0.0;
    const int taps = 10;
    for (int i = 0; i < taps; ++i) {
        float along = (float(i) + 0.5) / float(taps);
        float angle = along * 6.2831853 * 3.0 + turn;
        ivec2 q = ivec2(gl_FragCoord.xy + vec2(cos(angle), sin(angle)) * (along * radius + 0.7));
        q = clamp(q, ivec2(0), ivec2(screen.xy) - 1);
        vec3 to = place_at(vec2(q) + 0.5, distance_at(q)) - p;
        float square = dot(to, to);
        float fall = max(0.0, 1.0 - square / (reach.x * reach.x * 2.2));
        hidden += fall * max(0.0, dot(to, n) * inversesqrt(square + 1e-4) - reach.w);
    }
    float open = clamp(1.0 - 1.75 * hidden / float(taps), 0.0, 1.0);
    float coarse = clamp(d / 20000.0, 0.0, 0.9999) * 255.0;
    result = vec4(open, floor(coarse) / 255.0, fract(coarse), 1.0);
}
