/* The settings table and what a reader of one line writes to. Inside src/text/ only. */
#ifndef PASSO_TEXT_SETTINGS_H
#define PASSO_TEXT_SETTINGS_H

#include "score/score.h"
#include "text/setup.h"

/* X(id, section, key, value, usual, help): id also names the reader, read_ID. */
#define SETTINGS(X)                                                                                \
    X(preset, "passage", "preset", "NAME", "", "start from a preset; other lines change it")       \
    X(title, "passage", "title", "TEXT", "", "what the passage is called")                         \
    X(piece, "passage", "piece", "TEXT", "", "the piece that it stands in")                        \
    X(key, "passage", "key", "TEXT", "", "its key: E-flat major")                                  \
    X(instrument, "passage", "instrument", "TEXT", "", "what it is played on")                     \
    X(meter, "passage", "meter", "METER", "4/4", "meter of the first bar: 6/8, 7/8 as 2+2+3")      \
    X(beat, "passage", "beat", "NOTE", "", "beat unit of every tempo; if not said, the meter's")   \
    X(bars, "passage", "bars", "N|FIRST-LAST", "4", "how many bars, or their printed numbers")     \
    X(pickup, "passage", "pickup", "NOTE|N beats", "none", "what is played before the first bar")  \
    X(target, "passage", "target", "TEMPO", "", "the tempo to reach: 96, or quarter = 96")         \
    X(context, "passage", "context", "FIRST-LAST|N", "",                                           \
      "the last run: its bars, or so many before and after")                                       \
    X(tags, "passage", "tags", "WORDS", "", "what it is made of: chromatic, low register")         \
    X(start_pitch, "passage", "start-pitch", "NOTE", "", "the first note as written: E-flat 3")    \
    X(transposition, "passage", "transposition", "SEMITONES", "",                                  \
      "sounding minus written, -9; if not said, the instrument's")                                 \
    X(notes, "passage", "notes", "ABC", "", "its notes, in ABC notation: E2 F2 | G4")              \
    X(notes_from, "passage", "notes-from", "FILE", "",                                             \
      "its notes, in a MIDI, MusicXML or ABC file")                                                \
    X(notes_bar, "passage", "notes-bar", "N", "",                                                  \
      "the printed bar with which the notes begin; if not said, the first, or the file's own")     \
    X(notes_part, "passage", "notes-part", "NAME|N", "", "which part of the file")                 \
    X(shape, "shape", "shape", "PLACE=WHAT", "",                                                   \
      "written there: bar 5=meter 3/4, bar 7=tempo 80 %, bars 9-10=to 70 %, bar 7=a tempo, "       \
      "bar 46=fermata x 2, then 1 beat, bar 12.4=breath 1 beat (before it), bar 20=silent")        \
    X(loop, "loops", "loop", "NAME=BARS", "", "a part to climb: first half=1-2 (may come again)")  \
    X(chain, "loops", "chain", "HOW", "",                                                          \
      "makes loops: forward by 1 bar, backward by beat, halves, pieces of 2 bars, overlapping "    \
      "1 beat or the landing")                                                                     \
    X(variant, "variants", "variant", "NAME=HOW", "",                                              \
      "a way to play: low=octave -1, slurred (may come again); heard are octave, tongued, "        \
      "slurred, staccato, dotted, reversed dotted, groups of 4; other words are only told to the " \
      "player")                                                                                    \
    X(stage, "stage", "stage", "NAME: LINE", "",                                                   \
      "a ladder of its own, in order: second half: start = 80 % of lower result (may come "        \
      "again)")                                                                                    \
    X(climbs, "ladder", "climbs", "WHAT", "tempo",                                                 \
      "what the rungs are; also length (of a chain), mixed, edge within 4 bpm")                    \
    X(start, "ladder", "start", "SHARE|TEMPO", "60 %", "the first rung")                           \
    X(steps, "ladder", "steps", "STEPS", "4 bpm",                                                  \
      "5 %, 10 points, 8 rungs, marks, quarter of the rest, or a list of tempi")                   \
    X(raise, "ladder", "raise", "RULE", "2 clean in a row",                                        \
      "what wins a rung; also 3 clean of 4, 5 coins")                                              \
    X(drop, "ladder", "drop", "RULE", "1 rung after 2 misses",                                     \
      "also after 2 misses here, 2 misses in a row here, to start after 3 misses, hold")           \
    X(miss, "ladder", "miss", "WHAT", "again",                                                     \
      "what a miss that does not drop leads to; also first turn")                                  \
    X(lift, "ladder", "lift", "MOVES", "1", "moves of successive wins; also 2 -1")                 \
    X(turn, "ladder", "turn", "WHEN", "every rung",                                                \
      "when the next loop or variant comes; also every pass, whole climb")                         \
    X(anchor, "ladder", "anchor", "SHARE", "none",                                                 \
      "after each pass one at this share of the target")                                           \
    X(over, "ladder", "over", "N at SHARE", "none", "passes past the target: 1 at 105 %")          \
    X(close, "ladder", "close", "N clean", "none",                                                 \
      "then at the target until so many are clean; also thinning")                                 \
    X(finish, "ladder", "finish", "N in context", "1 in context",                                  \
      "the last passes; also 1 in context, 1 at 60 %, none")                                       \
    X(plateau, "ladder", "plateau", "N drops", "2 drops",                                          \
      "so many drops from one rung end the climb; also 2 drops, then 2 clean, none")               \
    X(tired, "ladder", "tired", "N misses of M", "3 misses of 5",                                  \
      "then a long rest, one easy pass and the end; also 15 min played, none")                     \
    X(stop, "ladder", "stop", "LIMITS", "20 min",                                                  \
      "also 12 passes, 5 misses in a row (several with commas), none")                             \
    X(unmarked, "ladder", "unmarked", "WHAT", "hold",                                              \
      "what a pass without a mark is; also wait, clean, miss")                                     \
    X(rest, "ladder", "rest", "TIME", "as played, at least 6 s, at most 60 s",                     \
      "time between passes; also 1.5 x played, 10 s")                                              \
    X(resume, "ladder", "resume", "SHARE", "85 %",                                                 \
      "where the next day opens, of its best clean tempo; also 1 rung below, start")               \
    X(ceiling, "ladder", "ceiling", "TEMPO", "none",                                               \
      "the highest tempo for today: 80, or by day: Tue 80, Thu 84, or 2026-12-01 80")              \
    X(cold, "ladder", "cold", "yes|no", "no", "one pass at the target before any work")            \
    X(on_miss, "ladder", "on-miss", "WHAT", "play on",                                             \
      "what a miss pressed while playing does; also break off")                                    \
    X(count, "pulse", "count", "NOTE|groups", "",                                                  \
      "the counted unit; also eighth below 60; if not said, the beat unit")                        \
    X(subdivide, "pulse", "subdivide", "N", "none",                                                \
      "clicks to a counted beat, 2 to 6; also 2 below 80")                                         \
    X(swing, "pulse", "swing", "LONG:SHORT", "straight", "swung subdivision: 2:1")                 \
    X(count_in, "pulse", "count-in", "N bars", "auto", "bars before the entry; also auto")         \
    X(leave_out, "pulse", "leave-out", "CLICKS", "none",                                           \
      "clicks not sounded: bar, group, beat, sub, count-in")                                       \
    X(mute, "pulse", "mute", "N of M", "none", "silent bars: the last 2 of 4, or 30 % of bars")    \
    X(thin, "pulse", "thin", "WHAT", "none",                                                       \
      "the clicks that are left: halves, bars, two bars, count-in only")                           \
    X(place, "pulse", "place", "WHERE", "on the beat",                                             \
      "where the clicks fall; also off the beat, 2 and 4")                                         \
    X(volume, "pulse", "volume", "SHARE", "50 %", "output level")                                  \
    X(sounds, "pulse", "sounds", "NAME|FOLDER", "built in", "click set")                           \
    X(reference, "pitch", "reference", "HZ", "440", "what A 4 is tuned to, 415 to 466")            \
    X(drone, "pitch", "drone", "WHAT", "none",                                                     \
      "a tone under the playing: root (of the key), root and fifth, or a note as written: "        \
      "B-flat 2")                                                                                  \
    X(fifth, "pitch", "fifth", "WHICH", "equal",                                                   \
      "the drone's fifth: equal (tempered) or pure (3:2)")                                         \
    X(hear, "pitch", "hear", "WHEN", "off",                                                        \
      "the notes are heard before they are played: before each new rung, every pass")

#define SETTING_ID(id, section, key, value, usual, help) SETTING_##id,
enum setting_id { SETTINGS(SETTING_ID) SETTING_COUNT };
#undef SETTING_ID

/* A place as written: a bar, and a beat of it or 0 for the whole bar. */
struct spot {
    int32_t bar;
    int32_t beat;
};

struct range {
    struct spot from;
    struct spot to;
};

/* What a chain has made: indices of loops in the order in which they are climbed, the whole passage
 * last. None: no chain. */
struct chain {
    uint8_t loop[PASSO_LOOPS_MAX];
    size_t loops;
    bool grows; /* by length, the shortest first */
};

/* The lines of one stage: of each setting the one that counts, if it is the stage's own. */
struct stage_lines {
    const char *name; /* in the lines */
    const struct passo_line *line[SETTING_COUNT];
    struct chain chain; /* its own */
};

/* The notes as they were read, before they are laid over the passage. */
struct tune {
    const struct passo_line *line; /* that says them; NULL: there are none */
    bool good;                     /* they were read without a fault */
    bool bar_said;                 /* by notes-bar */
    int32_t first;                 /* the score's number of its first full bar ... */
    int32_t bar;                   /* ... and the printed bar that it is */
    struct passo_score score;
    struct passo_score_tempo tempo; /* the target where none is said; mbpm 0: neither has one */
};

/* What the readers have made of the lines so far. Each reads its line alone; what depends on
 * several lines (a loop's beats on meter and bars) waits here until all are read. */
struct draft {
    struct passo_setup *setup;
    struct passo_faults *faults;
    struct passo_rule *rule; /* which the readers of [ladder] write: the common one, or a stage's */
    int32_t today_yyyymmdd;  /* 0: not known */
    enum setting_id now;     /* the setting being read */
    const struct passo_line *own; /* its line, where the player names it: a loop, a variant */
    const struct passo_line *line[SETTING_COUNT]; /* the line that counts, or NULL */
    bool bad[SETTING_COUNT];                      /* that line had a fault */
    bool bad_meters; /* a change of meter had a fault: no place can be counted */
    struct passo_ratio unit[SETTING_COUNT]; /* the unit its tempo carried; 0/0 none */
    int32_t pickup_beats;                   /* > 0: the pickup, in beats */
    bool context_bars;                      /* context is so many bars ... */
    int32_t context_before;
    int32_t context_after;
    struct range context;               /* ... or a range */
    struct range loop[PASSO_LOOPS_MAX]; /* of passage.loop, from 1 */
    const struct passo_line *loop_line[PASSO_LOOPS_MAX];
    size_t own_loops; /* the player's, `whole` counted in; a chain's come behind them */
    const struct passo_line *change_line[PASSO_CHANGES_MAX]; /* of passage.change */
    struct range written[PASSO_WRITTEN_MAX];                 /* of passage.written, unsorted */
    const struct passo_line *written_line[PASSO_WRITTEN_MAX];
    int32_t beats_before[PASSO_BARS_MAX + 1]; /* each bar of the passage, from 0; chains count so */
    struct chain chain;                       /* of the passage */
    bool seam_is_whole;                       /* a chain's seam is all of the passage */
    bool joined;                              /* the passage was without fault */
    struct tune tune;
    bool transposes; /* the instrument is known, or its transposition said */
    struct stage_lines stage_lines[PASSO_STAGES_MAX];
    size_t stages;
    char hint[256]; /* room for a reader's own sentence */
};

/* Reads one value. NULL, or what would do instead (static, or in draft->hint). */
typedef const char *setting_reader(const char *value, struct draft *draft);

#define SETTING_READER(id, section, key, value, usual, help) setting_reader read_##id;
SETTINGS(SETTING_READER)
#undef SETTING_READER

/* The table's entry and its reader. */
const struct passo_setting *setting_at(enum setting_id id);
setting_reader *setting_reader_at(enum setting_id id);
/* Its place in the table; SETTING_COUNT if there is none. */
enum setting_id setting_id_of(const char *key);
/* Whether lines of this section are named by the player: loops, variants, shape. */
bool setting_section_is_named(const char *section);
/* Whether the player names such a line: a loop, a variant, a place of [shape]. */
bool setting_is_named(enum setting_id id);
bool setting_line_is_named(const struct passo_line *line);
/* The name in a stage's section ("stage NAME"), "" if it lacks one; NULL if it is another section.
 */
const char *setting_stage_name(const char *section);
/* Whether such a line may stand in a stage. */
bool setting_is_of_stage(enum setting_id id);
/* Whether a stage's line yields to the common one of its key, which may be NULL. */
bool setting_line_yields(const struct passo_line *own, const struct passo_line *common);
/* The section's name if it is known, else NULL; and the one most alike, or NULL. */
const char *setting_section(const char *section);
const char *setting_section_nearest(const char *section);

/* Reads "33-36", "2.3-4.1", "5" or "5.2". NULL, or what would do. */
const char *range_read(const char *text, struct range *out_range);
/* The places of a range in the passage, whose meter, changes, bars, beat and pickup are set;
 * inside: it may not leave the passage. NULL, or what is wrong (in draft->hint). */
const char *range_place(struct draft *draft, const struct range *range, bool inside,
                        struct passo_loop *out_loop);

/* Puts the faults of each file in the order of its lines. */
void faults_order(struct passo_faults *faults);

/* Joins what the readers found: beat unit, meter changes, pickup, written changes, loops, context,
 * chain. Faults go to draft->faults. */
void join_passage(struct draft *draft);
/* That a tempo's unit is the passage's; the fault is the line's. */
bool join_unit(struct draft *draft, const struct passo_line *line, struct passo_ratio unit);
/* Places what is written into the passage, sorts it and judges it. */
void shape_join(struct draft *draft);
/* Of the lines of `notes` and `notes-from`, each NULL if there is none, the one that counts. */
const struct passo_line *tune_line(const struct passo_line *notes, const struct passo_line *from);
/* The path of the file that a line names: beside the file in which the line stands. */
void tune_path(const struct passo_line *line, char out[PASSO_PATH_BYTES]);
/* Reads the score that it names; what the passage leaves unsaid of meter, bars, pickup and tempo is
 * the score's. Before join_passage(). */
void tune_read(struct draft *draft);
/* Judges the bars of the joined passage, and what hangs on notes and key. */
void tune_join(struct draft *draft);
/* Lays the score over the passage, which is complete and had no fault. */
void tune_fit(struct draft *draft);

/* Where the whole passage begins, its pickup counted in. */
struct passo_place passage_beginning(const struct passo_passage *passage);

/* Counts the beats of the passage, whose meter, bars, beat and pickup are set. */
void chain_prepare(struct draft *draft);
/* Reads `how` and adds its loops to the passage. NULL, or what would do. */
const char *chain_make(struct draft *draft, const char *how, struct chain *out_chain);

/* Sorts the lines of [stage NAME] by stage. */
void stages_collect(struct draft *draft, const struct passo_lines *lines);
/* Makes the course of the common rule and the stages' lines. Faults go to draft->faults. */
void stages_join(struct draft *draft);
/* Gives every stage of the course its turns, once the passage is joined. */
void turns_join(struct draft *draft);
/* The line that an engine's sentence on the course is about, or NULL. */
const struct passo_line *stages_line_of(const struct draft *draft, const char *sentence);
/* A list of tempi is start and target at once, where no line says otherwise. */
void rule_settle_list(struct passo_rule *rule, bool start_said, bool target_said);

#endif
