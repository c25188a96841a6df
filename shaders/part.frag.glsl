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
    // The gleam is that of a long lamp overhead: whichever way a shaft lies, it has one broad band along it.
    vec3 h = normalize(up.xyz * 0.75 + key.xyz * 0.45 + v);
    float sky = 0.5 + 0.5 * dot(n, up.xyz);
    vec3 hemisphere = mix(vec3(0.37, 0.345, 0.30), vec3(0.80), sky);
    // Wrapped, so that the light runs softly round a shaft.
    float wrapped = clamp((dot(n, key.xyz) + 0.25) / 1.25, 0.0, 1.0);
    vec3 light = hemisphere + vec3(0.86, 0.85, 0.82) * wrapped * wrapped;
    // What turns away from the eye is a little darker, as a draughtsman shades it: so the round stays round when it is
    // pale.
    float away = 1.0 - max(dot(n, v), 0.0);
    light *= 1.0 - 0.30 * away * away;
    float shine = look_detail.x;
    float near = max(dot(n, h), 0.0);
    near *= near;
    near *= near;
    near *= near; // eighth power: one broad band along a shaft
    float glint = shine * near * near;
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
        lit = base * (0.5 + 0.45 * light * mix(1.0, shade, 0.7)) + 0.05 * glint * glint;
    } else {
        lit = (look_base.rgb * light + 0.55 * glint) * shade;
        // A soft shoulder: light metal keeps its modelling where it is brightest.
        lit *= 1.0 - lit * (0.235 - 0.05 * lit);
        lit *= 1.0 - 0.2 * section.w;
    }
    colour = vec4(encoded(lit), see_through);
}
