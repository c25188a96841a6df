// Matte metal under a wide sky with one soft key light; circuits read as colour first.
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
    vec3 n = normalize(unit_normal);
    vec3 v = normalize(eye.xyz - unit_position);
    vec3 h = normalize(key.xyz + v);
    float sky = 0.5 + 0.5 * dot(n, up.xyz);
    vec3 hemisphere = mix(vec3(0.40, 0.375, 0.33), vec3(0.70), sky);
    // Wrapped, so that the light runs softly round a shaft.
    float wrapped = clamp((dot(n, key.xyz) + 0.25) / 1.25, 0.0, 1.0);
    vec3 light = hemisphere + vec3(0.62, 0.61, 0.59) * wrapped * wrapped;
    float shine = look_detail.x;
    float near = max(dot(n, h), 0.0);
    near *= near;
    near *= near;
    near *= near; // eighth power: broad; its fourth: narrow
    float glint = shine * mix(near, near * near * near * near, shine);
    float shade = 1.0;
    if (key.w > 0.0) {
        shade = mix(1.0, texture(occlusion, gl_FragCoord.xy * occlusion_map.xy + occlusion_map.zw).r, key.w);
    }
    vec3 lit;
    if (look_base.w > 0.5) {
        vec3 base = look_base.rgb;
        if (look_extra.z > 0.5) {
            float along = (unit_position.x + unit_position.y + unit_position.z) / (section.y * 1.6);
            float ramp = abs(fract(along) - 0.5) / max(fwidth(along), 1e-4);
            base *= mix(0.62, 1.0, clamp(ramp - 0.22 / max(fwidth(along), 1e-4) + 0.5, 0.0, 1.0));
        }
        lit = base * (0.5 + 0.54 * light * mix(1.0, shade, 0.7)) + 0.06 * glint;
    } else {
        lit = look_base.rgb * light * shade + 0.34 * glint * shade;
    }
    colour = vec4(encoded(lit), see_through);
}
