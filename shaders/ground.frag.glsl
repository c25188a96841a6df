// Paper ground with the unit's soft shadow on the bench.
in vec2 target_uv;
uniform sampler2D shadow;
layout(location = 0) out vec4 colour;

float grain(vec2 p) { return fract(52.9829189 * fract(dot(p, vec2(0.06711056, 0.00583715)))); }

void main() {
    vec2 in_picture = place.xy + vec2(target_uv.x, 1.0 - target_uv.y) * place.zw;
    float down = smoothstep(0.0, 1.0, in_picture.y);
    vec3 tone = mix(ground_top.rgb, ground_bottom.rgb, down);
    vec4 far_clip = world_from_clip * vec4(target_uv * 2.0 - 1.0, 1.0, 1.0);
    vec3 ray = far_clip.xyz / far_clip.w - world_eye.xyz;
    float t = (world_eye.w - world_eye.z) / min(ray.z, -1e-6);
    if (ray.z < 0.0 && t > 0.0) {
        vec2 at = (world_eye.xyz + ray * t).xy * shadow_map.xy + shadow_map.zw;
        vec2 inside = step(vec2(0.0), at) * step(at, vec2(1.0));
        vec2 dark = texture(shadow, at).rg * inside.x * inside.y;
        float depth = ground_top.w * clamp(0.34 * dark.y + 0.42 * dark.x, 0.0, 0.75);
        tone *= mix(vec3(1.0), vec3(0.27, 0.25, 0.22), depth);
    }
    vec2 whole_pixel = vec2(gl_FragCoord.x, screen.y - gl_FragCoord.y) + pixel.xy;
    colour = vec4(tone + (grain(floor(whole_pixel)) - 0.5) * pixel.z, 1.0);
}
