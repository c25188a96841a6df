// How surfaces take the light, for the passes that draw them and for the one that shades a whole picture of them.

// Dashes of a circuit: `along` counts them, `blur` is how much of one a pixel covers.
float dash_mark(float along, float blur) {
    float ramp = abs(fract(along) - 0.5) / blur;
    return mix(0.62, 1.0, clamp(ramp - 0.22 / blur + 0.5, 0.0, 1.0));
}

// Matte metal under a wide sky with one soft key light; circuits read as colour first.
vec3 part_tone(vec3 n, vec3 v, vec4 base, float shine, float mark, float shade) {
    // The gleam is that of a long lamp overhead: whichever way a shaft lies, it has one broad band along it.
    vec3 h = normalize(up.xyz * 0.75 + key.xyz * 0.45 + v);
    float sky = 0.5 + 0.5 * dot(n, up.xyz);
    vec3 hemisphere = mix(vec3(0.37, 0.345, 0.30), vec3(0.80), sky);
    // Wrapped, so that the light runs softly round a shaft.
    float wrapped = clamp((dot(n, key.xyz) + 0.25) / 1.25, 0.0, 1.0);
    vec3 light = hemisphere + vec3(0.86, 0.85, 0.82) * wrapped * wrapped;
    // What turns away from the eye is a little darker, as a draughtsman shades it: so the round stays round when it is
    // pale.
    float away = 1.0 - max(dot(n, v), 0.0);
    light *= 1.0 - 0.30 * away * away;
    float near = max(dot(n, h), 0.0);
    near *= near;
    near *= near;
    near *= near; // eighth power: one broad band along a shaft
    float glint = shine * near * near;
    vec3 lit;
    if (base.w > 0.5) {
        lit = base.rgb * mark * (0.5 + 0.45 * light * mix(1.0, shade, 0.7)) + 0.05 * glint * glint;
    } else {
        lit = (base.rgb * light + 0.55 * glint) * shade;
        // A soft shoulder: light metal keeps its modelling where it is brightest.
        lit *= 1.0 - lit * (0.235 - 0.05 * lit);
        lit *= 1.0 - 0.2 * section.w;
    }
    return encoded(lit);
}

// Which way the hatch of a cut face runs, and how many of its lines there are on so many millimetres along that.
vec2 hatch_way(float hatch) { return vec2(1.0, mod(hatch, 2.0) < 0.5 ? 1.0 : -1.0); }
float hatch_lines(float hatch, float mm) {
    float factor = hatch < 1.5 ? 1.0 : (hatch < 3.5 ? 0.64 : 1.45);
    return mm * 0.70710678 / (section.y * factor);
}

// The cut face of a solid, painted as the section plane would look. `along` and `across` count the hatch and the dashes
// of a circuit, `line_blur` and `dash_blur` are how much of one a pixel covers.
vec3 cut_tone(vec4 base, vec4 detail, bool dashed, float along, float line_blur, float across, float dash_blur,
              float shade) {
    if (detail.y < -1.5) return encoded(base.rgb * 0.10); // too thin for lines: ink, with a trace of the metal's tone
    if (base.w > 0.5 && base.w < 1.5) {
        // The space of a circuit carries its mark here too.
        float mark = dashed ? mix(0.62, 1.0, clamp((abs(fract(across) - 0.5) - 0.22) / dash_blur + 0.5, 0.0, 1.0)) : 1.0;
        return encoded(base.rgb * 0.9 * mark * mix(1.0, shade, 0.5));
    }
    float hatch = detail.y;
    vec3 paper = mix(vec3(0.86, 0.825, 0.745), vec3(0.50), section.w);
    vec3 metal = hatch < -0.5 ? base.rgb * 0.96 : mix(base.rgb, paper, 0.62);
    float from_line = abs(fract(along) - 0.5) / line_blur; // pixels
    float ink = clamp(up.w + 0.5 - from_line, 0.0, 1.0) * step(-0.5, hatch) * detail.z;
    return mix(encoded(metal * mix(1.0, shade, 0.8)), vec3(0.16, 0.175, 0.19), ink * 0.78);
}

// A thin casting of glass: every wall draws what is behind it towards this one tone, so their order does not matter.
vec3 glass_tone() { return mix(vec3(0.56, 0.59, 0.62), vec3(0.52, 0.57, 0.63), section.w); }

// The light on its nearest wall: it has a dense rim where it turns away from the eye, and one soft gleam.
vec4 glass_light(vec3 n, vec3 v, vec4 base, vec4 detail) {
    float away = 1.0 - abs(dot(n, v));
    float rim = away * away;
    float sky = 0.5 + 0.5 * dot(n, up.xyz);
    float wrapped = clamp((dot(n, key.xyz) + 0.25) / 1.25, 0.0, 1.0);
    float near = max(dot(n, normalize(key.xyz + v)), 0.0);
    near *= near;
    near *= near;
    near *= near;
    near *= near;
    float gleam = 0.55 * near;
    float alpha = detail.z * (0.5 + 2.6 * rim * away) + gleam * detail.x;
    vec3 lit = encoded(base.rgb * (0.34 + 0.26 * sky + 0.34 * wrapped * wrapped) * mix(1.0, 0.62, rim));
    return vec4(mix(lit, vec3(1.0), gleam), clamp(alpha, 0.0, 0.8));
}
