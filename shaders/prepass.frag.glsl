// Identity and normal in one pixel, with the depth beside it: for picking and for occlusion.
in vec3 unit_position;
in vec3 unit_normal;
flat in vec4 look_base;
flat in vec4 look_detail;
flat in vec4 look_extra;

layout(location = 0) out vec4 id_and_normal;

vec2 folded(vec3 n) {
    vec2 p = n.xy / (abs(n.x) + abs(n.y) + abs(n.z));
    vec2 turned = (1.0 - abs(p.yx)) * vec2(p.x >= 0.0 ? 1.0 : -1.0, p.y >= 0.0 ? 1.0 : -1.0);
    return 0.5 + 0.5 * (n.z < 0.0 ? turned : p);
}

void main() {
    vec3 n = unit_normal;
#ifdef SECTION
    if (look_detail.w > 0.5 && unit_position.y * section.x > 0.0) discard;
#endif
#ifdef CAP
    if (look_detail.w < 0.5) discard;
    n = vec3(0.0, section.x, 0.0);
#endif
    n = normalize(mat3(view_from_unit) * n);
    float id = look_extra.w;
#ifdef CAP
    id += 32768.0;
#endif
    id_and_normal = vec4(floor(id / 256.0) / 255.0, mod(id, 256.0) / 255.0, folded(n));
}
