// What every pass of a frame shares. The program puts the version line, and precision where that is needed, before it.
layout(std140) uniform Frame {
    mat4 clip_from_unit;
    mat4 view_from_unit;
    vec4 eye;           // unit space, mm; w: pixels per point
    vec4 up;            // world up in unit space; w: half-width of the hatch lines, pixels
    vec4 key;           // towards the key light, unit space; w: strength of occlusion, 0 without
    vec4 section;       // x: the half with y * x > 0 is taken away, 0: none; y: hatch spacing, mm; z: mm per pixel; w: 1 dark
    vec4 screen;        // width, height of the target, pixels; then their inverses
    vec4 place;         // of the target in the whole picture: x, y from the top left, width, height, as fractions
    vec4 pixel;         // x, y: offset of the target in the whole picture, pixels; z: strength of the paper's grain; w: unused
    vec4 occlusion_map; // texture coordinate = pixel * xy + zw
    vec4 ground_top;    // sRGB; w: strength of the shadow
    vec4 ground_bottom; // sRGB
    mat4 world_from_clip;
    vec4 world_eye;     // w: height of the ground
    vec4 shadow_map;    // texture coordinate = world.xy * xy + zw
};

// Of one row of the style table.
const int style_texels = 5;

// Linear light to sRGB by three square roots: within half a step of 255 of the true curve almost everywhere, and much
// cheaper than powers where a processor does the drawing.
vec3 encoded(vec3 linear_colour) {
    vec3 a = sqrt(clamp(linear_colour, 0.0, 1.0));
    vec3 b = sqrt(a);
    return clamp(0.662002687 * a + 0.684122060 * b - 0.323583601 * sqrt(b) - 0.0225411470 * a * a, 0.0, 1.0);
}
