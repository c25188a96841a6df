// One direction of a wide blur; red keeps closer than green.
in vec2 target_uv;
uniform sampler2D source;
uniform vec2 stride;
layout(location = 0) out vec4 result;

void main() {
    vec2 sum = vec2(0.0);
    float weight = 0.0;
    for (int i = -8; i <= 8; ++i) {
        float w = exp(-float(i * i) / 26.0);
        sum.x += w * texture(source, target_uv + stride * (0.35 * float(i))).r;
        sum.y += w * texture(source, target_uv + stride * float(i)).g;
        weight += w;
    }
    result = vec4(sum / weight, 0.0, 1.0);
}
