/* A setup: all that a climb needs, from a preset, a passage file and options, in that order, the
 * later line winning. Lines are first collected with their origin, then resolved together, so that
 * the order in which a file states things does not matter and every fault is found at once. */
#ifndef PASSO_TEXT_SETUP_H
#define PASSO_TEXT_SETUP_H

#include <passo/course.h>
#include <passo/error.h>
#include <passo/intonation.h>
#include <passo/timeline.h>

#include <stdio.h>

#define PASSO_PATH_BYTES 4096

/* Who says a line; the later of two wins. */
enum passo_rank { PASSO_RANK_PRESET, PASSO_RANK_FILE, PASSO_RANK_OPTION };

/* Notes over several lines are one: a later line of them is a part of the first. */
struct passo_line_part {
    size_t at; /* where it begins in the value, in bytes */
    char *origin;
};

/* One `key = value` and where it was read ("march.passo, line 7" or "--steps"). In [loops],
 * [variants] and [shape] the key is the player's own: a loop's name, "bar 3"; `chain` alone is a
 * setting of [loops]. The section of a stage's lines is "stage NAME", the name as it was written.
 */
struct passo_line {
    char *section;
    char *key;
    char *value;
    char *origin;
    char *folder; /* of the file where it stands; NULL: of an option, the working folder's */
    enum passo_rank rank;
    struct passo_line_part *part; /* of notes: what later lines added, in their order */
    size_t parts;
};

/* Sorted by rank; within a rank in the order in which they were added. Zero-initialize. */
struct passo_lines {
    struct passo_line *line;
    size_t lines;
    enum passo_rank preset_rank; /* who named the preset whose lines are here */
    int32_t today_yyyymmdd; /* the caller's, for a ceiling by day: 20261201; 0: no day's holds */
};

/* Sentences that say what is wrong, one each: "march.passo, line 7: `meter = 4/3` ... ". */
struct passo_faults {
    char **fault;
    size_t faults;
};

enum passo_on_miss { PASSO_ON_MISS_PLAY_ON, PASSO_ON_MISS_BREAK_OFF };

struct passo_setup {
    struct passo_passage passage;
    struct passo_rule rule; /* the common parts: the lines of [ladder] */
    struct passo_course
        course; /* what is played: the stages, checked; the rule's own if there are none */
    struct passo_pulse pulse;
    struct passo_intonation intonation;
    struct passo_notes notes; /* of the passage and its context; none if the file has none */
    enum passo_on_miss on_miss;
    char sounds[PASSO_PATH_BYTES]; /* click set: a shipped or user set's name or a folder; "" built
                                      in */
    int32_t volume_permille;       /* output level, 0 to 1000; 500 */
};

/* One setting: the table drives parsing, --help and (later) completion and `show`. */
struct passo_setting {
    const char *section; /* "passage", "ladder", "pulse" ... */
    const char *key;     /* file key and long option: "start-pitch" */
    const char *value;   /* what stands for the value in --help: "TEMPO|SHARE" */
    const char *usual;   /* the default as one would write it; "" none */
    const char *help;    /* one line */
};

/* The table, in the order in which help shows it. */
const struct passo_setting *passo_settings(size_t *out_count);
/* The setting of a key, or NULL; passo_setting_nearest() gives the most alike key for a hint, or
 * NULL if none is near. */
const struct passo_setting *passo_setting_find(const char *key);
const struct passo_setting *passo_setting_nearest(const char *key);

/* True if `candidate` is near to a misspelt word and nearer than the best so far (begin with
 * *best = SIZE_MAX); *best then is its distance. */
bool passo_word_nearer(const char *word, const char *candidate, size_t *best);

void passo_lines_deinit(struct passo_lines *lines);
void passo_faults_deinit(struct passo_faults *faults);
/* Adds a sentence (printf). After fifty it adds only, and once, that there are more. */
void passo_fault(struct passo_faults *faults, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

/* Adds a line given as an option; for `loop` and `variant` the value is "NAME=VALUE" and the line
 * goes to [loops] or [variants], for `shape` it is "bar 5=meter 3/4", for `stage` "NAME:
 * KEY=VALUE". `preset` adds that preset's lines, in place of those of a preset that a file names.
 * Unknown keys are a fault with the nearest known one. */
void passo_lines_add_option(struct passo_lines *lines, const char *key, const char *value,
                            struct passo_faults *faults);
/* Takes the line back that was added last as an option; there is one. A preset that it named stays,
 * until another is named. */
void passo_lines_take_back(struct passo_lines *lines);
/* Whether it is a line of a stage. */
bool passo_line_of_stage(const struct passo_line *line);
/* Takes out what `which` is true of. */
void passo_lines_drop(struct passo_lines *lines, bool (*which)(const struct passo_line *line));
/* Adds the lines of a passage or preset file; `preset = NAME` in it adds that preset's lines
 * first. Every fault names file and line. A folder, a FIFO, no permission, a missing file, a file
 * over 1 MiB: one clear sentence. UTF-8 BOM, CRLF and tabs are fine. */
void passo_lines_add_file(struct passo_lines *lines, const char *path, struct passo_faults *faults);
/* Adds a shipped or user preset by name, in place of any other preset's lines. */
void passo_lines_add_preset(struct passo_lines *lines, const char *name,
                            struct passo_faults *faults);

/* Resolves the lines. With no `target` line and need_target, that is a fault. The setup is valid
 * only if no fault was added. */
void passo_setup_resolve(const struct passo_lines *lines, bool need_target,
                         struct passo_setup *out_setup, struct passo_faults *faults);

/* What holds of a setting although no line says it, as one would write it: the beat unit by the
 * meter, the target by a list of tempi; where the notes are in a file of their own, these on one
 * line of ABC and what else the file gave, or its whole path if ABC has no way to write them. Free
 * it; NULL: nothing, or a line says what holds. The lines have been resolved to this setup without
 * a fault. */
char *passo_setup_found(const struct passo_lines *lines, const struct passo_setup *setup,
                        const char *key);
/* Writes the setup that the lines resolve to as a passage file: every setting with what holds, said
 * or by default, in the file's own syntax, a preset's lines in place of its name, the notes in
 * place of the file that has them, each with a few words of help behind it. Reading it back gives
 * the same setup. The lines have been resolved without a fault. with_passage: false leaves
 * [passage] and [shape] out, for a preset. */
void passo_setup_write(const struct passo_lines *lines, const struct passo_setup *setup,
                       bool with_passage, FILE *to);

/* Writes only what the lines say (a preset by its name) as a passage file, with comments that tell
 * what else could be said. Reading it back gives the same setup. */
void passo_lines_write(const struct passo_lines *lines, FILE *to);
/* Says the notes in place of the file that has them, and what else it gave, as options. A fault if
 * ABC has no way to write them. The lines have been resolved to this setup without a fault. */
void passo_lines_take_notes_in(struct passo_lines *lines, const struct passo_setup *setup,
                               struct passo_faults *faults);
/* Likewise the text of a passage file that these lines are of: the line that names the file with
 * the notes gives way to them, and all else stays to the byte. Free it. NULL: there is no such
 * line, or there was a fault, also that the file cannot be read. */
char *passo_file_take_notes_in(const char *path, const struct passo_lines *lines,
                               const struct passo_setup *setup, size_t *out_bytes,
                               struct passo_faults *faults);
/* Writes the comment lines that a file begins with, as comments that are safe to show. False if
 * there are none. */
bool passo_file_heading_write(const char *path, FILE *to);
/* The first of them, safe to show and without its sign: when to use a preset or a routine. "" if
 * there is none. Returns out. */
const char *passo_file_summary(const char *path, char *out, size_t bytes);

/* Finds a shipped or user file: `kind` is "presets", "sounds", "passages" or "routines"; name has
 * no path in it (one with '/' or a leading '.' is never found). Looks in
 * $XDG_CONFIG_HOME/passo/KIND (or
 * ~/.config), $XDG_DATA_HOME/passo/KIND (or ~/.local/share), then the shipped data: beside the
 * running program (BUILD/data, PREFIX/share/passo), then where it was to be installed. Tries name
 * and name.passo. Writes the path to out and returns true if it exists. */
bool passo_find(const char *kind, const char *name, char out[PASSO_PATH_BYTES]);
/* Whether a path that passo_find() gave is the player's own, not one that shipped. */
bool passo_find_is_own(const char *kind, const char *path);
/* The folder where the player's own files of this kind go: $XDG_DATA_HOME/passo/KIND. False if
 * there is no home. It need not exist. */
bool passo_find_own_folder(const char *kind, char out[PASSO_PATH_BYTES]);
/* Names of all shipped and user presets or sets, sorted, each once. Free the array's strings and
 * the array. */
size_t passo_find_all(const char *kind, char ***out_names);
/* The sentence on when to use a preset: its first comment line. "" if none. */
const char *passo_preset_summary(const char *name, char *out, size_t bytes);

/* What is wrong with a name to file a passage under, or NULL; static. A name is 1 to 100 bytes of
 * UTF-8 that is safe to show, without '/', not beginning with '.' or '-'. */
#define PASSO_FILED_NAME_MAX 100
const char *passo_filed_name_fault(const char *name);
/* A filing: the bytes, and where they go. */
struct passo_filing {
    const char *name; /* without a fault */
    const char *bytes;
    size_t length;
    bool force; /* in place of one of that name */
};
/* Files the bytes as the player's own passage: whole, or not at all. out_path is where, also after
 * a fault if it is known, else "". PASSO_ERR_EXISTS, or PASSO_ERR_FILE, with one sentence in
 * out_fault. Thread: main (holds signals off for a moment). Blocks: yes, until the disk has it. */
PASSO_MUST_CHECK enum passo_error passo_file_away(const struct passo_filing *filing,
                                                  char out_path[PASSO_PATH_BYTES], char *out_fault,
                                                  size_t fault_bytes);
/* Whether there is a place for it, before there are bytes: the same errors and sentences. */
PASSO_MUST_CHECK enum passo_error passo_file_away_place(const struct passo_filing *filing,
                                                        char out_path[PASSO_PATH_BYTES],
                                                        char *out_fault, size_t fault_bytes);
/* passo_file_away() of a copy, to the byte, of the file at `from`; filing->bytes is not looked at.
 */
PASSO_MUST_CHECK enum passo_error passo_file_away_copy(const struct passo_filing *filing,
                                                       const char *from,
                                                       char out_path[PASSO_PATH_BYTES],
                                                       char *out_fault, size_t fault_bytes);

#endif
