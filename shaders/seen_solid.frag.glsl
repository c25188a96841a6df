// The light on the solids of a moving frame, once for every pixel of what is seen there.
in vec2 target_uv;

uniform highp isampler2D faces; // normal, and 1 + row of the style table; negative on a cut face; 0: nothing
uniform sampler2D scene_depth;
uniform sampler2D styles;
uniform mat4 unit_from_clip;
uniform vec3 right, above; // from one pixel to the next on the far plane, unit space

layout(location = 0) out vec4 colour;

// How a point that is seen moves over its plane when the eye looks one pixel further.
vec3 slide(vec3 n, vec3 ray, float share, vec3 to_next) {
    float head_on = dot(n, ray);
    head_on = abs(head_on) < 1e-3 ? 1e-3 : head_on;
    return share * (to_next - ray * (dot(n, to_next) / head_on));
}

void main() {
    ivec4 face = texelFetch(faces, ivec2(gl_FragCoord.xy), 0);
    if (face.w == 0) discard;
    int row = abs(face.w) - 1;
    ivec2 at = ivec2((row % 256) * style_texels, row / 256);
    vec4 base = texelFetch(styles, at, 0);
    vec4 detail = texelFetch(styles, at + ivec2(1, 0), 0);
    bool dashed = texelFetch(styles, at + ivec2(3, 0), 0).z > 0.5;
    vec2 device = target_uv * 2.0 - 1.0;
    float depth = texelFetch(scene_depth, ivec2(gl_FragCoord.xy), 0).r;
    vec4 here = unit_from_clip * vec4(device, depth * 2.0 - 1.0, 1.0);
    vec4 far = unit_from_clip * vec4(device, 1.0, 1.0);
    vec3 ray = far.xyz / far.w - eye.xyz;
    vec3 position = here.xyz / here.w;
    float dashes = 1.0 / (section.y * 1.6);
    if (face.w < 0) {
        float share = -eye.y / ray.y;
        vec3 on_plane = eye.xyz + ray * share;
        vec3 aside = slide(vec3(0.0, 1.0, 0.0), ray, share, right), up_by = slide(vec3(0.0, 1.0, 0.0), ray, share, above);
        vec2 way = hatch_way(detail.y);
        float line_blur = hatch_lines(detail.y, length(vec2(dot(aside.xz, way), dot(up_by.xz, way))));
        float dash_blur = length(vec2(aside.x + aside.z, up_by.x + up_by.z)) * dashes;
        colour = vec4(cut_tone(base, detail, dashed, hatch_lines(detail.y, dot(on_plane.xz, way)), max(line_blur, 1e-5),
                               (on_plane.x + on_plane.z) * dashes, max(dash_blur, 1e-4), 1.0), 1.0);
        return;
    }
    vec3 n = normalize(vec3(face.xyz));
    float mark = 1.0;
    if (base.w > 0.5 && dashed) {
        float share = dot(position - eye.xyz, ray) / dot(ray, ray);
        vec3 aside = slide(n, ray, share, right), up_by = slide(n, ray, share, above);
        float blur = (abs(aside.x + aside.y + aside.z) + abs(up_by.x + up_by.y + up_by.z)) * dashes;
        mark = dash_mark((position.x + position.y + position.z) * dashes, max(blur, 1e-4));
    }
    colour = vec4(part_tone(n, normalize(eye.xyz - position), base, detail.x, mark, 1.0), 1.0);
}
