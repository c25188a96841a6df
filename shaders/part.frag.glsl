// A solid in the light.
in vec3 unit_position;
in vec3 unit_normal;
flat in vec4 look_base;
flat in vec4 look_detail;
flat in vec4 look_extra;

uniform sampler2D occlusion;
uniform float see_through; // 1: as it is; below: seen through what hides it

layout(location = 0) out vec4 colour;

void main() {
#ifdef SECTION
    if (look_detail.w > 0.5 && unit_position.y * section.x > 0.0) discard;
#endif
    float shade = 1.0;
    if (key.w > 0.0) {
        shade = mix(1.0, texture(occlusion, gl_FragCoord.xy * occlusion_map.xy + occlusion_map.zw).r, key.w);
    }
    float mark = 1.0;
    if (look_base.w > 0.5 && look_extra.z > 0.5) {
        float along = (unit_position.x + unit_position.y + unit_position.z) / (section.y * 1.6);
        mark = dash_mark(along, max(fwidth(along), 1e-4));
    }
    vec3 n = normalize(unit_normal);
    vec3 v = normalize(eye.xyz - unit_position);
    colour = vec4(part_tone(n, v, look_base, look_detail.x, mark, shade), see_through);
}
