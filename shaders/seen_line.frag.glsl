// At rest lines are drawn before the glass that stands over them. Here the glass is there already: it left its
// transparency in the alpha of the smaller picture.
in float across;
flat in float half_width;
flat in vec4 ink;
uniform sampler2D source;
uniform vec2 pixel_size;
uniform float behind_glass; // 0: before all of it
layout(location = 0) out vec4 colour;

void main() {
    float cover = clamp(half_width + 0.5 - abs(across), 0.0, 1.0);
    colour = vec4(ink.rgb, ink.a * cover * mix(1.0, texture(source, gl_FragCoord.xy * pixel_size).a, behind_glass));
}
