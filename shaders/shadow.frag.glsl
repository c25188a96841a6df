// Red: what nearly touches the bench; green: everything, weaker with height.
in vec3 world_position;
flat in float weight;
flat in float cut;
in float unit_y;
uniform float height;
layout(location = 0) out vec4 result;

void main() {
    if (cut > 0.5 && unit_y * section.x > 0.0) discard;
    float h = max(world_position.z - world_eye.w, 0.0) / height;
    result = vec4(weight * exp(-h * 9.0), weight * exp(-h * 1.1), 0.0, 1.0);
}
