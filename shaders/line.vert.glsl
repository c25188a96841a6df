// An inked edge: a quad of constant width in pixels around the projected edge, clipped to the section here.
layout(location = 0) in vec3 from;
layout(location = 1) in vec3 to;
layout(location = 2) in uvec2 shape_and_kind;

uniform sampler2D styles;
uniform vec3 width_rule; // x: pixels per point; y: share of the distance by which lines stand before their surface;
                         // z: share of the ink of edges of glass

out float across; // pixels from the middle of the line
flat out float half_width;
flat out vec4 ink;

void main() {
    int row = int(shape_and_kind.x);
    ivec2 at = ivec2((row % 256) * style_texels, row / 256);
    vec4 detail = texelFetch(styles, at + ivec2(1, 0), 0);
    ink = texelFetch(styles, at + ivec2(2, 0), 0);
    vec4 extra = texelFetch(styles, at + ivec2(3, 0), 0);
    vec3 a = from;
    vec3 b = to;
    uint kind = shape_and_kind.y;
    // Glass shows by its outline.
    if (texelFetch(styles, at, 0).w > 1.5) ink.a = min(ink.a * (kind == 1u ? 1.8 : 0.8), 1.0) * width_rule.z;
    if (section.x != 0.0 && detail.w > 0.5 && kind != 2u) {
        float ya = a.y * section.x;
        float yb = b.y * section.x;
        if (ya > 0.0 && yb > 0.0) {
            gl_Position = vec4(2.0, 2.0, 2.0, 1.0);
            return;
        }
        if (ya > 0.0) a = mix(a, b, ya / (ya - yb));
        else if (yb > 0.0) b = mix(b, a, yb / (yb - ya));
    }
    float points = kind == 0u ? 1.0 : (kind == 1u ? 1.6 : 1.2);
    float width = max(points * extra.x * width_rule.x, 1.0);
    vec4 ca = clip_from_unit * vec4(a + (eye.xyz - a) * width_rule.y, 1.0);
    vec4 cb = clip_from_unit * vec4(b + (eye.xyz - b) * width_rule.y, 1.0);
    const float near = 1.0;
    if (ca.w < near && cb.w < near) {
        gl_Position = vec4(2.0, 2.0, 2.0, 1.0);
        return;
    }
    if (ca.w < near) ca = mix(ca, cb, (near - ca.w) / (cb.w - ca.w));
    else if (cb.w < near) cb = mix(cb, ca, (near - cb.w) / (ca.w - cb.w));
    vec3 na = ca.xyz / ca.w;
    vec3 nb = cb.xyz / cb.w;
    vec2 way = (nb.xy - na.xy) * screen.xy;
    float span = length(way);
    way = span > 1e-4 ? way / span : vec2(1.0, 0.0);
    half_width = 0.5 * width;
    float reach = half_width + 0.5;
    float side = (gl_VertexID & 1) == 0 ? -1.0 : 1.0;
    bool at_end = (gl_VertexID & 3) >= 2; // four vertices a line, in one instance or in a row
    vec3 centre = at_end ? nb : na;
    vec2 offset = vec2(-way.y, way.x) * (side * reach) + way * ((at_end ? 0.5 : -0.5) * half_width);
    across = side * reach;
    // Divided already, so that the width runs evenly; the depth is linear on the screen as it must be.
    gl_Position = vec4(centre.xy + 2.0 * offset * screen.zw, centre.z, 1.0);
}
