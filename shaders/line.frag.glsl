in float across;
flat in float half_width;
flat in vec4 ink;
layout(location = 0) out vec4 colour;

void main() {
    float cover = clamp(half_width + 0.5 - abs(across), 0.0, 1.0);
    colour = vec4(ink.rgb, ink.a * cover);
}
