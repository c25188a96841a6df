// The unit from straight above, for its shadow on the bench.
layout(location = 0) in vec3 position;
layout(location = 2) in uint shape;
uniform mat4 world_from_unit;
uniform sampler2D styles;
out vec3 world_position;
flat out float weight;
flat out float cut;
out float unit_y;

void main() {
    ivec2 at = ivec2((int(shape) % 256) * style_texels, int(shape) / 256);
    weight = texelFetch(styles, at, 0).w > 1.5 ? 0.3 : 1.0;
    cut = texelFetch(styles, at + ivec2(1, 0), 0).w;
    unit_y = position.y;
    float along = texelFetch(styles, at + ivec2(4, 0), 0).x;
    world_position = (world_from_unit * vec4(position.x + along, position.yz, 1.0)).xyz;
    gl_Position = vec4((world_position.xy * shadow_map.xy + shadow_map.zw) * 2.0 - 1.0, 0.0, 1.0);
}
