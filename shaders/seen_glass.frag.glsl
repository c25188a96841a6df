// The glass of a moving frame over its solids: the tint of all walls, and the light on the nearest. Alpha keeps how much
// of what is behind still shows, for the lines.
in vec2 target_uv;

uniform highp isampler2D faces; // normal, and 1 + row of the style table; negative on a cut face; 0: nothing
uniform sampler2D scene_depth;
uniform sampler2D styles;
uniform mat4 unit_from_clip;
uniform sampler2D source; // what the tint of all walls leaves of what is behind

layout(location = 0) out vec4 colour; // to be added to that share of what is there

void main() {
    ivec4 face = texelFetch(faces, ivec2(gl_FragCoord.xy), 0);
    if (face.w == 0) discard;
    int row = face.w - 1;
    ivec2 at = ivec2((row % 256) * style_texels, row / 256);
    float depth = texelFetch(scene_depth, ivec2(gl_FragCoord.xy), 0).r;
    vec4 here = unit_from_clip * vec4(vec3(target_uv, depth) * 2.0 - 1.0, 1.0);
    vec4 light = glass_light(normalize(vec3(face.xyz)), normalize(eye.xyz - here.xyz / here.w),
                             texelFetch(styles, at, 0), texelFetch(styles, at + ivec2(1, 0), 0));
    float clear = texelFetch(source, ivec2(gl_FragCoord.xy), 0).r;
    colour = vec4(mix(glass_tone() * (1.0 - clear), light.rgb, light.a), clear * (1.0 - light.a));
}
