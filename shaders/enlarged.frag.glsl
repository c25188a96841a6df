// A smaller picture over the whole target.
in vec2 target_uv;
uniform sampler2D source;
layout(location = 0) out vec4 colour;

void main() { colour = vec4(texture(source, target_uv).rgb, 1.0); }
