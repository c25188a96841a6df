// Arrows of air: quads on the screen, each with the arrow's own coordinates in points.
layout(location = 0) in vec3 device; // normalised device coordinates
layout(location = 1) in vec2 within; // points from the arrow's middle, along and across

out vec2 arrow;
out float depth;

void main() {
    arrow = within;
    depth = device.z * 0.5 + 0.5;
    gl_Position = vec4(device.xy, 0.0, 1.0);
}
