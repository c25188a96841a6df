// A thin casting of glass, in two goes. First every wall that faces the eye, whether another stands before it or not,
// draws what is behind it towards one tone. Then the nearest wall alone takes the light.
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
    if (nearest < 0.5) {
        float away = 1.0 - abs(dot(n, v));
        colour = vec4(glass_tone(), look_detail.z * (0.25 + 0.75 * away * away));
        return;
    }
    colour = glass_light(n, v, look_base, look_detail);
}
