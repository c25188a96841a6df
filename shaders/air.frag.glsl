// A flat arrow with a thin outline of paper; pale where something stands before it.
in vec2 arrow;
in float depth;
uniform sampler2D scene_depth;
uniform vec4 body;  // half length, half width of the shaft, half width of the head, length of the head; points
uniform vec4 fill;  // sRGB; w: share that shows where it is hidden
uniform vec4 edge;  // sRGB; w: width of the outline, points
uniform vec4 depth_map; // texture coordinate = pixel * xy + zw
layout(location = 0) out vec4 colour;

float box(vec2 p, vec2 low, vec2 high) {
    vec2 d = max(low - p, p - high);
    return length(max(d, 0.0)) + min(max(d.x, d.y), 0.0);
}

float arrow_distance(vec2 p) {
    p.y = abs(p.y);
    float neck = body.x - body.w;
    float shaft = box(p, vec2(-body.x, -body.y), vec2(neck + 0.5, body.y)) ;
    vec2 slant = normalize(vec2(body.z, body.w));
    float head = max(neck - p.x, dot(p - vec2(body.x, 0.0), slant));
    return min(shaft, head);
}

void main() {
    float d = arrow_distance(arrow);
    float unit = length(vec2(dFdx(arrow.x), dFdy(arrow.x))); // points per pixel
    float inner = clamp(0.5 - d / unit, 0.0, 1.0);
    float outer = clamp(0.5 - (d - edge.w) / unit, 0.0, 1.0);
    float before = texture(scene_depth, gl_FragCoord.xy * depth_map.xy + depth_map.zw).r;
    float share = depth <= before + 1e-5 ? 1.0 : fill.w;
    colour = vec4(mix(edge.rgb, fill.rgb, inner), outer * share);
}
