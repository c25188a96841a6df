// The cut face of a closed solid: where its inside is seen through the cut, it is painted as the section plane would look.
// It keeps the depth of that inside: whatever stands between the plane and it would have to be inside the solid.
in vec3 unit_position;
in vec3 unit_normal;
flat in vec4 look_base;
flat in vec4 look_detail;
flat in vec4 look_extra;

uniform sampler2D occlusion;

layout(location = 0) out vec4 colour;

void main() {
#ifdef SECTION
    if (look_detail.w > 0.5 && unit_position.y * section.x > 0.0) discard;
#endif
    vec3 on_plane = eye.xyz + (unit_position - eye.xyz) * (eye.y / (eye.y - unit_position.y));
    float shade = 1.0;
    if (key.w > 0.0) {
        shade = mix(1.0, texture(occlusion, gl_FragCoord.xy * occlusion_map.xy + occlusion_map.zw).r, key.w * 0.5);
    }
    float along = hatch_lines(look_detail.y, dot(on_plane.xz, hatch_way(look_detail.y)));
    float across = (on_plane.x + on_plane.z) / (section.y * 1.6);
    colour = vec4(cut_tone(look_base, look_detail, look_extra.z > 0.5, along,
                           max(length(vec2(dFdx(along), dFdy(along))), 1e-5), across,
                           max(length(vec2(dFdx(across), dFdy(across))), 1e-4), shade), 1.0);
}
