// A part of an inked edge that was found to be seen: its quad is laid out already.
layout(location = 0) in vec2 device;
layout(location = 1) in vec2 width; // pixels from the middle of the line, half its width
layout(location = 2) in vec4 colour_of_ink;

out float across;
flat out float half_width;
flat out vec4 ink;

void main() {
    across = width.x;
    half_width = width.y;
    ink = colour_of_ink;
    gl_Position = vec4(device, 0.0, 1.0);
}
