// The section plane y = 0 as one quad, for its depth where cut faces show.
uniform vec4 extent; // low x, low z, high x, high z

void main() {
    vec2 at = mix(extent.xy, extent.zw, vec2(float(gl_VertexID & 1), float(gl_VertexID >> 1)));
    gl_Position = clip_from_unit * vec4(at.x, 0.0, at.y, 1.0);
}
