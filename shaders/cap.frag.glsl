// The cut face of a closed solid: where its inside is seen through the cut, it is painted as the section plane would look.
// It keeps the depth of that inside: whatever stands between the plane and it would have to be inside the solid.
in vec3 unit_position;
in vec3 unit_normal;
flat in vec4 look_base;
flat in vec4 look_detail;
flat in vec4 look_extra;

uniform sampler2D occlusion;

layout(location = 0) out vec4 colour;

void main() {
#ifdef SECTION
    if (look_detail.w > 0.5 && unit_position.y * section.x > 0.0) discard;
#endif
    vec3 on_plane = eye.xyz + (unit_position - eye.xyz) * (eye.y / (eye.y - unit_position.y));
    float shade = 1.0;
    if (key.w > 0.0) {
        shade = mix(1.0, texture(occlusion, gl_FragCoord.xy * occlusion_map.xy + occlusion_map.zw).r, key.w * 0.5);
    }
    if (look_detail.y < -1.5) { // too thin for lines: ink, with a trace of the metal's own tone
        colour = vec4(encoded(look_base.rgb * 0.10), 1.0);
        return;
    }
    if (look_base.w > 0.5 && look_base.w < 1.5) {
        // The space of a circuit carries its mark here too.
        float mark = 1.0;
        if (look_extra.z > 0.5) {
            float across = (on_plane.x + on_plane.z) / (section.y * 1.6);
            float pixels = max(length(vec2(dFdx(across), dFdy(across))), 1e-4);
            mark = mix(0.62, 1.0, clamp((abs(fract(across) - 0.5) - 0.22) / pixels + 0.5, 0.0, 1.0));
        }
        colour = vec4(encoded(look_base.rgb * 0.9 * mark * mix(1.0, shade, 0.5)), 1.0);
        return;
    }
    float hatch = look_detail.y;
    vec3 paper = mix(vec3(0.86, 0.825, 0.745), vec3(0.50), section.w);
    vec3 base = hatch < -0.5 ? look_base.rgb * 0.96 : mix(look_base.rgb, paper, 0.62);
    float turn = mod(hatch, 2.0) < 0.5 ? 1.0 : -1.0;
    float factor = hatch < 1.5 ? 1.0 : (hatch < 3.5 ? 0.64 : 1.45);
    float along = (on_plane.x + turn * on_plane.z) * 0.70710678 / (section.y * factor);
    float slope = max(length(vec2(dFdx(along), dFdy(along))), 1e-5);
    float from_line = abs(fract(along) - 0.5) / slope; // pixels
    float ink = clamp(up.w + 0.5 - from_line, 0.0, 1.0) * step(-0.5, hatch) * look_detail.z;
    vec3 tone = encoded(base * mix(1.0, shade, 0.8));
    colour = vec4(mix(tone, vec3(0.16, 0.175, 0.19), ink * 0.78), 1.0);
}
