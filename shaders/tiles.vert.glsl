// Parts of the whole target.
layout(location = 0) in vec2 corner; // 0 to 1

out vec2 target_uv;

void main() {
    target_uv = corner;
    gl_Position = vec4(corner * 2.0 - 1.0, 0.0, 1.0);
}
