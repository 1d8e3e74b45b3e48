// @ts-check
// What each card answers, and how: the texts at its end, and the fold they stand in.

import { el } from './dom.js';

/** @typedef {[answers: string, formula: string, source: string, limits: string, care: string]} Help */

const PARTS = ['Answers', 'Reckoned by', 'Source', 'Limits', 'Take care'];

const SUN = 'No eye at a finder or long lens near the sun, dark glass or not.';
const GROUND = 'Off roads and tracks, back from edges; local codes first.';

/** By the cards' addresses. @type {Record<string, Help>} */
export const HELP = {
  evening: [
    'What to dial, minute by minute, and when the sky is as bright as the lamps.',
    'EV = log₂(2^S + 2^L): sky and lamps added as light. Readings move both.',
    'Light: USNO Circular 171; its direction: computed here; lamps: ANSI PH2.7, second-hand. How far each strays is our judgement.',
    'Clear sky less a loss to cloud. Cloud that changes, lamps that switch on and a sun over 10° up are not foreseen.',
    `${SUN} ${GROUND}`,
  ],
  'evening/window': [
    'When the picture’s ranges of aperture, time and ISO can hold the light: bare, or through each filter. The least change when they never can.',
    'Widest and longest ≤ EV − filter ≤ narrowest and shortest, to ⅓ stop. A time-lapse keeps its aperture; the time moves in thirds, then the ISO.',
    'The forecast of Evening; “likely” is eight times in ten.',
    'Each filter alone, at what it takes at least. No wind, no traffic.',
    GROUND,
  ],
  sky: [
    'When the sun crosses each altitude, and where: rising on the left, falling on the right.',
    'Centre of the sun; sunrise and sunset at −0.83°, the rest without refraction.',
    'VSOP87D; limits of the twilights by USNO. Golden and blue hour: common practice, no source.',
    'For a sea-level horizon, 1900 to 2099, within a second of JPL’s DE421. Clocks are read as UT1, up to 0.9 s off.',
    SUN,
  ],
  'sky/moon': [
    'How the moon is lit, when it rises and sets, and whether sun or moon stands in the frame.',
    'Upper edge at a level horizon; your skyline under “In the frame”. Altitudes of the centre, in standard air.',
    'Theory ELP/MPP02, shortened: within 0.01° and 10 s of DE421.',
    'Level camera; the moon’s uneven edge is left out.',
    `${SUN} ${GROUND}`,
  ],
  'sky/skyline': [
    'When sun and moon go behind what stands around you.',
    'Straight lines between points; gone when no part of the disc shows. Heights: Earth’s curve less 0.13 of it for the air.',
    'Refraction by Sæmundsson; true north by the World Magnetic Model 2025; 0.13 is common practice.',
    'A degree up is 4 minutes of the sun or more; phones are often degrees off.',
    `${SUN} ${GROUND}`,
  ],
  'sky/year': [
    'Which evenings of a year bring sun or moon to the lens’s bearing, a long balance, or dark.',
    'About twilight: sun between 6° and −12°. Dark: sun below −18°, moon down. In the frame: between its sides, over the skyline.',
    'The cards Sky, Moon and Evening, day by day.',
    'Cloud and lamps are those of Evening.',
    `${SUN} ${GROUND}`,
  ],
  exposure: [
    'The same light at other settings.',
    'EV = log₂(N²/t) − log₂(ISO/100). Luminance K/100 × 2^EV, K = 12.5; illuminance C/100 × 2^EV, C = 250.',
    'APEX and ISO 2720, from encyclopaedias.',
    'Marks are exact stops: f/11 is 11.31, 1/60 is 1/64 s, “30 s” is 32 s, or 0.1 stop less where it runs by the clock. Meters differ by 0.2 stop. Depth and movement differ.',
    SUN,
  ],
  'exposure/filters': [
    'The time through your filters, stacked; which give a time; what a grad should hold back.',
    'Stops = density ÷ 0.301 = log₂ factor; stops add. 1000 times is 9.97 stops. “ND16” is four, “ND 1.6” five and a third.',
    'Definitions; the polariser by Kodak F-4016; the rule for grads common practice, from memory.',
    'A polariser counts half its range. Strong glass is easily ⅓ stop off: measure yours once.',
    `${SUN} Cover an optical finder: stray light misleads the meter.`,
  ],
  'exposure/film': [
    'How much longer film needs than the meter says.',
    'Time = metered time to the power P, from 1 s; or the maker’s table, straight in log-log.',
    'Data sheets of the makers, named with each answer, some second-hand or from memory.',
    'A start for your own tests, a third of a stop at best. A sensor needs none of this.',
    'Bracket what cannot be repeated.',
  ],
  'exposure/brackets': [
    'How many frames span a scene that one cannot hold.',
    'n = (scene − sensor) ÷ step, rounded up, and 1; evenly about the middle. The time is bracketed, so depth and rays stay.',
    'Common practice, no source.',
    'Lamps may clip in every frame: look at the shortest.',
    GROUND,
  ],
  'exposure/timer': [
    'When to open and close; how long a run of frames takes, card and battery too.',
    'n × (time + gap), the time twice with noise reduction.',
    'Common practice, no source.',
    'A sleeping page cannot ring; sleep and reload lose nothing.',
    GROUND,
  ],
  lens: [
    'What the lens takes in, and the same view on another camera.',
    'Angle = 2 atan(d ÷ 2f); across, in focus at u: d (u − f) ÷ f. Formats by their diagonals: the f-number for the same depth goes with the crop, for the same exposure it does not.',
    'Textbook geometry, from encyclopaedias.',
    'Straight-drawing lenses; engraved focal lengths are some per cent off, and focusing changes them.',
    'For panoramas turn about the lens, not the screw, where something is near.',
  ],
  'lens/focus': [
    'Where to focus, at which stop, so that near and far are sharp.',
    'H = f² ÷ Nc + f; focus at 2nF ÷ (n + F), to the sky at 2n. Blur² = (Δv ÷ 2N)² + (N ÷ 750 mm)², least at N = √(375 Δv).',
    'Ray 2000 and Hansma 1996, both quoted; a third of the way in and the rays of blades: common practice.',
    'Thin lens. What passes for a point is a convention, 0.2 mm in a print at 25 cm.',
    `Check at full magnification, then lock the focus. ${SUN}`,
  ],
  'lens/trails': [
    'How long and bright a trail one car draws, for which time, and how many cars come.',
    'v·s·sin θ ÷ (D + s·cos θ), v lens to sensor, s the way driven, D its distance at first. Brightness goes with ISO ÷ N² and with slowness, not with the time.',
    'Geometry, both ends projected; cars by Poisson, from memory.',
    'No distortion, braking or glare; behind traffic lights cars come in bunches. A stack is whole with a chance of 95 %.',
    GROUND,
  ],
  'lens/stars': [
    'How long stars stay points, and what arcs take.',
    'Trail = f · 2πt ÷ 86 164 s · cos δ. NPF: (35 N + 30 p) ÷ f, in full k (16.9 N + 0.1 f + 13.7 p) ÷ (f cos δ), p the pitch in µm. 500 ÷ equivalent focal length.',
    'NPF: F. Michaud, Société Astronomique du Havre. 500 rule: common practice, and generous.',
    'For mid-picture; corners stretch it, at 24 mm up to twice. No refraction.',
    GROUND,
  ],
  log: [
    'What was made and metered here.',
    'EV at ISO 100 of the settings, what filters took, and how much lighter than mid-tone it was meant.',
    'APEX. How much of an evening belongs to the spot is our judgement.',
    'The forecast learns from the spot’s readings alone. Forgetting a spot leaves its frames.',
    GROUND,
  ],
  'log/photo': [
    'What a photograph says of itself, its tones, and what an edit will cost.',
    'Stops from middle grey, 18 % of white. Y = 0.2126 R + 0.7152 G + 0.0722 B. Noise² = electrons + read noise².',
    'Exif by CIPA DC-008, luminance by BT.709; a signal 40 times its noise is excellent, 10 acceptable: ISO 12232, from memory.',
    'Pixels as this browser decodes them: raw files may hold ½ to 1½ stops more above white (common practice). Good to about a stop.',
    'The file says where it was taken: think before you share it.',
  ],
  'spot-form': [
    'Where the tripod stands, what the lens looks at, the picture wanted.',
    'Bearings: the shortest way on the ellipsoid.',
    'WGS 84; zones as this browser knows them.',
    'No maps and no terrain: the skyline is what you enter, flat until then. A phone’s position may be metres off.',
    `${SUN} ${GROUND}`,
  ],
  backup: [
    'Everything out and in as one file; spots for other programs.',
    'Adds what is missing, leaves what is the same, asks where both differ. All is checked, then written at once.',
    'GeoJSON by RFC 7946, GPX 1.1, geo links by RFC 5870.',
    'A running timer stays behind. Other programs read name, place, height and notes; a point from elsewhere lacks a bearing.',
    'Not encrypted: the files say where you stand.',
  ],
  settings: [
    'How lengths, clock, numbers and dates are written.',
    'At first as this device’s region has it.',
    'The browser’s own tables (CLDR).',
    'Marks of dials stay as cameras print them: f/2.8, 0.6 s. Typed numbers are read with comma or point.',
    'Clearing this browser’s data clears the log: save the file under Keep and share.',
  ],
};

/** @param {string} card */
export const helpFold = card =>
  el('details', { class: 'more help' }, el('summary', {}, 'What this answers, and how'),
    el('dl', {}, ...PARTS.flatMap((part, index) => [el('dt', {}, part), el('dd', {}, HELP[card]?.[index])])));
