// Solids of the unit: vertex in unit space, look of its shape from the style table.
layout(location = 0) in vec3 position;
layout(location = 1) in vec3 normal;
layout(location = 2) in uint shape;

uniform sampler2D styles;

invariant gl_Position; // several programs draw the same solids and compare their depths

out vec3 unit_position;
out vec3 unit_normal;
flat out vec4 look_base;   // linear colour; w: 0 matter, 1 circuit, 2 glass
flat out vec4 look_detail; // shine, hatch, alpha, 1 where the section cuts it
flat out vec4 look_extra;  // width factor of lines, mm towards the eye for its cut face, dash, id

void main() {
    int row = int(shape);
    ivec2 at = ivec2((row % 256) * style_texels, row / 256);
    look_base = texelFetch(styles, at, 0);
    look_detail = texelFetch(styles, at + ivec2(1, 0), 0);
    look_extra = texelFetch(styles, at + ivec2(3, 0), 0);
    vec3 stands = position + vec3(texelFetch(styles, at + ivec2(4, 0), 0).x, 0.0, 0.0);
    unit_position = stands;
    unit_normal = normal;
#ifdef CAP
    // Where solids touch, the inside of one lies in the surface of the next: the cut face must win.
    vec3 placed = stands + normalize(eye.xyz - stands) * look_extra.y;
#else
    vec3 placed = stands;
#endif
    gl_Position = clip_from_unit * vec4(placed, 1.0);
}
