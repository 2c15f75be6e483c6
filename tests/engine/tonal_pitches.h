/* Notes as the library tonal 6.4.3 (npm) has them: every spelling from double flat to double sharp
 * in four octaves with its MIDI number and its frequency for A 440, and each of the fourth octave
 * moved up and down by one to twelve semitones, by the intervals that are listed below; "-" is a
 * note that would need three signs. Made by `npm install tonal@6.4.3`, then `node` with this, then
 * clang-format:
 *
 *   const { Note } = require("tonal");
 *   const up = "2m 2M 3m 3M 4P 4A 5P 6m 6M 7m 7M 8P".split(" ");
 *   const down = "2m 2M 3m 3M 4P 5d 5P 6m 6M 7m 7M 8P".split(" ").map((i) => "-" + i);
 *   const signs = ["bb", "b", "", "#", "##"];
 *   const names = [..."CDEFGAB"].flatMap((letter) => signs.map((sign) => letter + sign));
 *   const few = (name) => Math.abs(Note.get(name).alt) <= 2 ? name : "-";
 *   const moved = (name, by) => by.map((i) => few(Note.transpose(name, i))).join(" ");
 *   const print = (line) => console.log(line);
 *   print("static const struct tonal_sound tonal_sounds[] = {");
 *   for (const name of names.flatMap((n) => [-1, 2, 4, 9].map((octave) => n + octave)))
 *     print(`{"${name}", ${Note.get(name).height}, ${Note.get(name).freq.toFixed(6)}},`);
 *   print("};\n\nstatic const struct tonal_moves tonal_moves[] = {");
 *   for (const name of names.map((n) => n + 4))
 *     print(`{"${name}", "${moved(name, up)}", "${moved(name, down)}"},`);
 *   print("};");
 */
#ifndef PASSO_TESTS_TONAL_PITCHES_H
#define PASSO_TESTS_TONAL_PITCHES_H

struct tonal_sound {
    const char *name;
    int midi;
    double hz;
};

struct tonal_moves {
    const char *name;
    const char *up;   /* twelve notes, blanks between */
    const char *down; /* likewise */
};

static const struct tonal_sound tonal_sounds[] = {
    {"Cbb-1", -2, 7.283809},     {"Cbb2", 34, 58.270470},     {"Cbb4", 58, 233.081881},
    {"Cbb9", 118, 7458.620184},  {"Cb-1", -1, 7.716927},      {"Cb2", 35, 61.735413},
    {"Cb4", 59, 246.941651},     {"Cb9", 119, 7902.132820},   {"C-1", 0, 8.175799},
    {"C2", 36, 65.406391},       {"C4", 60, 261.625565},      {"C9", 120, 8372.018090},
    {"C#-1", 1, 8.661957},       {"C#2", 37, 69.295658},      {"C#4", 61, 277.182631},
    {"C#9", 121, 8869.844191},   {"C##-1", 2, 9.177024},      {"C##2", 38, 73.416192},
    {"C##4", 62, 293.664768},    {"C##9", 122, 9397.272573},  {"Dbb-1", 0, 8.175799},
    {"Dbb2", 36, 65.406391},     {"Dbb4", 60, 261.625565},    {"Dbb9", 120, 8372.018090},
    {"Db-1", 1, 8.661957},       {"Db2", 37, 69.295658},      {"Db4", 61, 277.182631},
    {"Db9", 121, 8869.844191},   {"D-1", 2, 9.177024},        {"D2", 38, 73.416192},
    {"D4", 62, 293.664768},      {"D9", 122, 9397.272573},    {"D#-1", 3, 9.722718},
    {"D#2", 39, 77.781746},      {"D#4", 63, 311.126984},     {"D#9", 123, 9956.063479},
    {"D##-1", 4, 10.300861},     {"D##2", 40, 82.406889},     {"D##4", 64, 329.627557},
    {"D##9", 124, 10548.081821}, {"Ebb-1", 2, 9.177024},      {"Ebb2", 38, 73.416192},
    {"Ebb4", 62, 293.664768},    {"Ebb9", 122, 9397.272573},  {"Eb-1", 3, 9.722718},
    {"Eb2", 39, 77.781746},      {"Eb4", 63, 311.126984},     {"Eb9", 123, 9956.063479},
    {"E-1", 4, 10.300861},       {"E2", 40, 82.406889},       {"E4", 64, 329.627557},
    {"E9", 124, 10548.081821},   {"E#-1", 5, 10.913382},      {"E#2", 41, 87.307058},
    {"E#4", 65, 349.228231},     {"E#9", 125, 11175.303406},  {"E##-1", 6, 11.562326},
    {"E##2", 42, 92.498606},     {"E##4", 66, 369.994423},    {"E##9", 126, 11839.821527},
    {"Fbb-1", 3, 9.722718},      {"Fbb2", 39, 77.781746},     {"Fbb4", 63, 311.126984},
    {"Fbb9", 123, 9956.063479},  {"Fb-1", 4, 10.300861},      {"Fb2", 40, 82.406889},
    {"Fb4", 64, 329.627557},     {"Fb9", 124, 10548.081821},  {"F-1", 5, 10.913382},
    {"F2", 41, 87.307058},       {"F4", 65, 349.228231},      {"F9", 125, 11175.303406},
    {"F#-1", 6, 11.562326},      {"F#2", 42, 92.498606},      {"F#4", 66, 369.994423},
    {"F#9", 126, 11839.821527},  {"F##-1", 7, 12.249857},     {"F##2", 43, 97.998859},
    {"F##4", 67, 391.995436},    {"F##9", 127, 12543.853951}, {"Gbb-1", 5, 10.913382},
    {"Gbb2", 41, 87.307058},     {"Gbb4", 65, 349.228231},    {"Gbb9", 125, 11175.303406},
    {"Gb-1", 6, 11.562326},      {"Gb2", 42, 92.498606},      {"Gb4", 66, 369.994423},
    {"Gb9", 126, 11839.821527},  {"G-1", 7, 12.249857},       {"G2", 43, 97.998859},
    {"G4", 67, 391.995436},      {"G9", 127, 12543.853951},   {"G#-1", 8, 12.978272},
    {"G#2", 44, 103.826174},     {"G#4", 68, 415.304698},     {"G#9", 128, 13289.750323},
    {"G##-1", 9, 13.750000},     {"G##2", 45, 110.000000},    {"G##4", 69, 440.000000},
    {"G##9", 129, 14080.000000}, {"Abb-1", 7, 12.249857},     {"Abb2", 43, 97.998859},
    {"Abb4", 67, 391.995436},    {"Abb9", 127, 12543.853951}, {"Ab-1", 8, 12.978272},
    {"Ab2", 44, 103.826174},     {"Ab4", 68, 415.304698},     {"Ab9", 128, 13289.750323},
    {"A-1", 9, 13.750000},       {"A2", 45, 110.000000},      {"A4", 69, 440.000000},
    {"A9", 129, 14080.000000},   {"A#-1", 10, 14.567618},     {"A#2", 46, 116.540940},
    {"A#4", 70, 466.163762},     {"A#9", 130, 14917.240369},  {"A##-1", 11, 15.433853},
    {"A##2", 47, 123.470825},    {"A##4", 71, 493.883301},    {"A##9", 131, 15804.265640},
    {"Bbb-1", 9, 13.750000},     {"Bbb2", 45, 110.000000},    {"Bbb4", 69, 440.000000},
    {"Bbb9", 129, 14080.000000}, {"Bb-1", 10, 14.567618},     {"Bb2", 46, 116.540940},
    {"Bb4", 70, 466.163762},     {"Bb9", 130, 14917.240369},  {"B-1", 11, 15.433853},
    {"B2", 47, 123.470825},      {"B4", 71, 493.883301},      {"B9", 131, 15804.265640},
    {"B#-1", 12, 16.351598},     {"B#2", 48, 130.812783},     {"B#4", 72, 523.251131},
    {"B#9", 132, 16744.036179},  {"B##-1", 13, 17.323914},    {"B##2", 49, 138.591315},
    {"B##4", 73, 554.365262},    {"B##9", 133, 17739.688383},
};

static const struct tonal_moves tonal_moves[] = {
    {"Cbb4", "- Dbb4 - Ebb4 Fbb4 Fb4 Gbb4 - Abb4 - Bbb4 Cbb5",
     "Bbb3 - Abb3 - Gbb3 Fb3 Fbb3 Ebb3 - Dbb3 - Cbb3"},
    {"Cb4", "Dbb4 Db4 Ebb4 Eb4 Fb4 F4 Gb4 Abb4 Ab4 Bbb4 Bb4 Cb5",
     "Bb3 Bbb3 Ab3 Abb3 Gb3 F3 Fb3 Eb3 Ebb3 Db3 Dbb3 Cb3"},
    {"C4", "Db4 D4 Eb4 E4 F4 F#4 G4 Ab4 A4 Bb4 B4 C5", "B3 Bb3 A3 Ab3 G3 F#3 F3 E3 Eb3 D3 Db3 C3"},
    {"C#4", "D4 D#4 E4 E#4 F#4 F##4 G#4 A4 A#4 B4 B#4 C#5",
     "B#3 B3 A#3 A3 G#3 F##3 F#3 E#3 E3 D#3 D3 C#3"},
    {"C##4", "D#4 D##4 E#4 E##4 F##4 - G##4 A#4 A##4 B#4 B##4 C##5",
     "B##3 B#3 A##3 A#3 G##3 - F##3 E##3 E#3 D##3 D#3 C##3"},
    {"Dbb4", "- Ebb4 Fbb4 Fb4 Gbb4 Gb4 Abb4 - Bbb4 Cbb5 Cb5 Dbb5",
     "Cb4 Cbb4 Bbb3 - Abb3 Gb3 Gbb3 Fb3 Fbb3 Ebb3 - Dbb3"},
    {"Db4", "Ebb4 Eb4 Fb4 F4 Gb4 G4 Ab4 Bbb4 Bb4 Cb5 C5 Db5",
     "C4 Cb4 Bb3 Bbb3 Ab3 G3 Gb3 F3 Fb3 Eb3 Ebb3 Db3"},
    {"D4", "Eb4 E4 F4 F#4 G4 G#4 A4 Bb4 B4 C5 C#5 D5", "C#4 C4 B3 Bb3 A3 G#3 G3 F#3 F3 E3 Eb3 D3"},
    {"D#4", "E4 E#4 F#4 F##4 G#4 G##4 A#4 B4 B#4 C#5 C##5 D#5",
     "C##4 C#4 B#3 B3 A#3 G##3 G#3 F##3 F#3 E#3 E3 D#3"},
    {"D##4", "E#4 E##4 F##4 - G##4 - A##4 B#4 B##4 C##5 - D##5",
     "- C##4 B##3 B#3 A##3 - G##3 - F##3 E##3 E#3 D##3"},
    {"Ebb4", "Fbb4 Fb4 Gbb4 Gb4 Abb4 Ab4 Bbb4 Cbb5 Cb5 Dbb5 Db5 Ebb5",
     "Db4 Dbb4 Cb4 Cbb4 Bbb3 Ab3 Abb3 Gb3 Gbb3 Fb3 Fbb3 Ebb3"},
    {"Eb4", "Fb4 F4 Gb4 G4 Ab4 A4 Bb4 Cb5 C5 Db5 D5 Eb5",
     "D4 Db4 C4 Cb4 Bb3 A3 Ab3 G3 Gb3 F3 Fb3 Eb3"},
    {"E4", "F4 F#4 G4 G#4 A4 A#4 B4 C5 C#5 D5 D#5 E5", "D#4 D4 C#4 C4 B3 A#3 A3 G#3 G3 F#3 F3 E3"},
    {"E#4", "F#4 F##4 G#4 G##4 A#4 A##4 B#4 C#5 C##5 D#5 D##5 E#5",
     "D##4 D#4 C##4 C#4 B#3 A##3 A#3 G##3 G#3 F##3 F#3 E#3"},
    {"E##4", "F##4 - G##4 - A##4 - B##4 C##5 - D##5 - E##5",
     "- D##4 - C##4 B##3 - A##3 - G##3 - F##3 E##3"},
    {"Fbb4", "- Gbb4 - Abb4 - Bbb4 Cbb5 - Dbb5 - Ebb5 Fbb5",
     "Ebb4 - Dbb4 - Cbb4 Bbb3 - Abb3 - Gbb3 - Fbb3"},
    {"Fb4", "Gbb4 Gb4 Abb4 Ab4 Bbb4 Bb4 Cb5 Dbb5 Db5 Ebb5 Eb5 Fb5",
     "Eb4 Ebb4 Db4 Dbb4 Cb4 Bb3 Bbb3 Ab3 Abb3 Gb3 Gbb3 Fb3"},
    {"F4", "Gb4 G4 Ab4 A4 Bb4 B4 C5 Db5 D5 Eb5 E5 F5", "E4 Eb4 D4 Db4 C4 B3 Bb3 A3 Ab3 G3 Gb3 F3"},
    {"F#4", "G4 G#4 A4 A#4 B4 B#4 C#5 D5 D#5 E5 E#5 F#5",
     "E#4 E4 D#4 D4 C#4 B#3 B3 A#3 A3 G#3 G3 F#3"},
    {"F##4", "G#4 G##4 A#4 A##4 B#4 B##4 C##5 D#5 D##5 E#5 E##5 F##5",
     "E##4 E#4 D##4 D#4 C##4 B##3 B#3 A##3 A#3 G##3 G#3 F##3"},
    {"Gbb4", "- Abb4 - Bbb4 Cbb5 Cb5 Dbb5 - Ebb5 Fbb5 Fb5 Gbb5",
     "Fb4 Fbb4 Ebb4 - Dbb4 Cb4 Cbb4 Bbb3 - Abb3 - Gbb3"},
    {"Gb4", "Abb4 Ab4 Bbb4 Bb4 Cb5 C5 Db5 Ebb5 Eb5 Fb5 F5 Gb5",
     "F4 Fb4 Eb4 Ebb4 Db4 C4 Cb4 Bb3 Bbb3 Ab3 Abb3 Gb3"},
    {"G4", "Ab4 A4 Bb4 B4 C5 C#5 D5 Eb5 E5 F5 F#5 G5", "F#4 F4 E4 Eb4 D4 C#4 C4 B3 Bb3 A3 Ab3 G3"},
    {"G#4", "A4 A#4 B4 B#4 C#5 C##5 D#5 E5 E#5 F#5 F##5 G#5",
     "F##4 F#4 E#4 E4 D#4 C##4 C#4 B#3 B3 A#3 A3 G#3"},
    {"G##4", "A#4 A##4 B#4 B##4 C##5 - D##5 E#5 E##5 F##5 - G##5",
     "- F##4 E##4 E#4 D##4 - C##4 B##3 B#3 A##3 A#3 G##3"},
    {"Abb4", "- Bbb4 Cbb5 Cb5 Dbb5 Db5 Ebb5 Fbb5 Fb5 Gbb5 Gb5 Abb5",
     "Gb4 Gbb4 Fb4 Fbb4 Ebb4 Db4 Dbb4 Cb4 Cbb4 Bbb3 - Abb3"},
    {"Ab4", "Bbb4 Bb4 Cb5 C5 Db5 D5 Eb5 Fb5 F5 Gb5 G5 Ab5",
     "G4 Gb4 F4 Fb4 Eb4 D4 Db4 C4 Cb4 Bb3 Bbb3 Ab3"},
    {"A4", "Bb4 B4 C5 C#5 D5 D#5 E5 F5 F#5 G5 G#5 A5", "G#4 G4 F#4 F4 E4 D#4 D4 C#4 C4 B3 Bb3 A3"},
    {"A#4", "B4 B#4 C#5 C##5 D#5 D##5 E#5 F#5 F##5 G#5 G##5 A#5",
     "G##4 G#4 F##4 F#4 E#4 D##4 D#4 C##4 C#4 B#3 B3 A#3"},
    {"A##4", "B#4 B##4 C##5 - D##5 - E##5 F##5 - G##5 - A##5",
     "- G##4 - F##4 E##4 - D##4 - C##4 B##3 B#3 A##3"},
    {"Bbb4", "Cbb5 Cb5 Dbb5 Db5 Ebb5 Eb5 Fb5 Gbb5 Gb5 Abb5 Ab5 Bbb5",
     "Ab4 Abb4 Gb4 Gbb4 Fb4 Eb4 Ebb4 Db4 Dbb4 Cb4 Cbb4 Bbb3"},
    {"Bb4", "Cb5 C5 Db5 D5 Eb5 E5 F5 Gb5 G5 Ab5 A5 Bb5",
     "A4 Ab4 G4 Gb4 F4 E4 Eb4 D4 Db4 C4 Cb4 Bb3"},
    {"B4", "C5 C#5 D5 D#5 E5 E#5 F#5 G5 G#5 A5 A#5 B5",
     "A#4 A4 G#4 G4 F#4 E#4 E4 D#4 D4 C#4 C4 B3"},
    {"B#4", "C#5 C##5 D#5 D##5 E#5 E##5 F##5 G#5 G##5 A#5 A##5 B#5",
     "A##4 A#4 G##4 G#4 F##4 E##4 E#4 D##4 D#4 C##4 C#4 B#3"},
    {"B##4", "C##5 - D##5 - E##5 - - G##5 - A##5 - B##5",
     "- A##4 - G##4 - - E##4 - D##4 - C##4 B##3"},
};

#endif
