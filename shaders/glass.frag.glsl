// A thin casting of glass, in two goes. First every wall that faces the eye, whether another stands before it or not,
// draws what is behind it towards one tone: the same tone for all, so their order does not matter. Then the nearest wall
// alone takes the light: it has a dense rim where it turns away from the eye, and one soft gleam.
in vec3 unit_position;
in vec3 unit_normal;
flat in vec4 look_base;
flat in vec4 look_detail;
flat in vec4 look_extra;

uniform float nearest; // 1: the second go

layout(location = 0) out vec4 colour;

void main() {
    vec3 n = normalize(unit_normal);
    vec3 v = normalize(eye.xyz - unit_position);
    float away = 1.0 - abs(dot(n, v));
    float rim = away * away;
    if (nearest < 0.5) {
        vec3 tone = mix(vec3(0.56, 0.59, 0.62), vec3(0.52, 0.57, 0.63), section.w);
        colour = vec4(tone, look_detail.z * (0.25 + 0.75 * rim));
        return;
    }
    float sky = 0.5 + 0.5 * dot(n, up.xyz);
    float wrapped = clamp((dot(n, key.xyz) + 0.25) / 1.25, 0.0, 1.0);
    float near = max(dot(n, normalize(key.xyz + v)), 0.0);
    near *= near;
    near *= near;
    near *= near;
    near *= near;
    float gleam = 0.55 * near;
    float alpha = look_detail.z * (0.5 + 2.6 * rim * away) + gleam * look_detail.x;
    vec3 lit = encoded(look_base.rgb * (0.34 + 0.26 * sky + 0.34 * wrapped * wrapped) * mix(1.0, 0.62, rim));
    colour = vec4(mix(lit, vec3(1.0), gleam), clamp(alpha, 0.0, 0.8));
}
