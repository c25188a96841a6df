// Softens the steps of slanted borders where the driver draws on the processor and several samples a pixel cost too much:
// fast approximate anti-aliasing, a short blur along the border that the brightness of the neighbours shows.
uniform sampler2D source;
layout(location = 0) out vec4 colour;

float brightness(vec2 at) { return dot(texture(source, at).rgb, vec3(0.299, 0.587, 0.114)); }

void main() {
    vec2 pixel_size = screen.zw;
    vec2 here = gl_FragCoord.xy * pixel_size;
    vec3 middle = texture(source, here).rgb;
    float m = dot(middle, vec3(0.299, 0.587, 0.114));
    float a = brightness(here + vec2(-1.0, 1.0) * pixel_size), b = brightness(here + vec2(1.0, 1.0) * pixel_size);
    float c = brightness(here + vec2(-1.0, -1.0) * pixel_size), d = brightness(here + vec2(1.0, -1.0) * pixel_size);
    float low = min(m, min(min(a, b), min(c, d))), high = max(m, max(max(a, b), max(c, d)));
    if (high - low < max(0.03, high * 0.06)) {
        colour = vec4(middle, 1.0);
        return;
    }
    vec2 along = vec2(c + d - a - b, a + c - b - d);
    float small = max((a + b + c + d) * 0.02, 1.0 / 128.0);
    along = clamp(along / (min(abs(along.x), abs(along.y)) + small), -6.0, 6.0) * pixel_size;
    vec3 near = 0.5 * (texture(source, here - along / 6.0).rgb + texture(source, here + along / 6.0).rgb);
    vec3 wide = 0.5 * near + 0.25 * (texture(source, here - along * 0.5).rgb + texture(source, here + along * 0.5).rgb);
    float w = dot(wide, vec3(0.299, 0.587, 0.114));
    colour = vec4(w < low || w > high ? near : wide, 1.0);
}
