// Depth alone, so that the colours are worked out once for each pixel.
in vec3 unit_position;
in vec3 unit_normal;
flat in vec4 look_base;
flat in vec4 look_detail;
flat in vec4 look_extra;

void main() {
#ifdef SECTION
    if (look_detail.w > 0.5 && unit_position.y * section.x > 0.0) discard;
#endif
}
