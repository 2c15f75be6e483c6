/* The parts of the routine reader: its settings, its lines and their readers. Inside src/text/
 * only.
 */
#ifndef PASSO_TEXT_ROUTINE_PRIV_H
#define PASSO_TEXT_ROUTINE_PRIV_H

#include "text/routine.h"
#include "text/settings.h"

#include <stdio.h>

/* X(id, section, key, value, usual, help): as SETTINGS; id names the reader, routine_read_ID. What
 * a block takes from a passage's settings stands there, but for the target, which is its tempo. */
#define ROUTINE_SETTINGS(X)                                                                        \
    X(title, "routine", "title", "TEXT", "", "what the routine is called")                         \
    X(whole, "routine", "minutes", "N", "", "blocks and passages together")                        \
    X(passages, "routine", "passages", "N", "",                                                    \
      "minutes for passages; if not said, what the blocks leave")                                  \
    X(order, "routine", "order", "mixed|blocked", "mixed",                                         \
      "visits of one passage: spread, or one after the other")                                     \
    X(visit, "routine", "visit", "LIMITS", "6 passes, 3 min", "the most for one visit")            \
    X(least, "routine", "least", "N min", "2 min", "a passage gets so much, or nothing")           \
    X(most, "routine", "most", "N min", "8 min", "the most for one passage and day")               \
    X(relative, "routine", "relative", "yes|no", "yes",                                            \
      "a passage comes up with its relative key")                                                  \
    X(rest, "routine", "rest", "TIME", "as played, at least 6 s, at most 60 s",                    \
      "between passes: of visits, and of blocks that say nothing")                                 \
    X(offer_rests, "routine", "offer-rests", "yes|no", "yes",                                      \
      "a rest is offered when the lips have earned one")                                           \
    X(caption, "block", "caption", "TEXT", "", "what to do, in a few words")                       \
    X(minutes, "block", "minutes", "N", "", "how long it lasts, all its keys together")            \
    X(passes, "block", "passes", "N", "", "instead: how often each key is played")                 \
    X(keys, "block", "keys", "CYCLE|LIST", "",                                                     \
      "fourths, fifths, chromatic up, chromatic down (also fourths, minor), or a list of keys")    \
    X(each_day, "block", "each-day", "N", "",                                                      \
      "so many keys a day, the next ones tomorrow; if not said, all")                              \
    X(sound, "block", "sound", "WHAT", "pulse", "also drone (the keynote), pulse and drone")       \
    X(free, "block", "free", "yes|no", "no", "no pulse and no bars, only its minutes")             \
    X(tempo, "block", "tempo", "TEMPO", "", "the tempo of its passes: quarter = 60")

#define ROUTINE_ID(id, section, key, value, usual, help) ROUTINE_##id,
enum routine_id { ROUTINE_SETTINGS(ROUTINE_ID) ROUTINE_COUNT };
#undef ROUTINE_ID

/* What the readers write to. */
struct routine_draft {
    struct passo_routine_file *file;
    struct passo_routine_block *block; /* of a line of a block */
    struct passo_block *planned;       /* the same as the planner sees it */
    bool free;                         /* this block has no pulse */
    char hint[256];                    /* room for a reader's own sentence */
};

/* Reads one value. NULL, or what would do instead (static, or in draft->hint). */
typedef const char *routine_reader(const char *value, struct routine_draft *draft);
#define ROUTINE_READER(id, section, key, value, usual, help) routine_reader routine_read_##id;
ROUTINE_SETTINGS(ROUTINE_READER)
#undef ROUTINE_READER

/* The words for what sounds. */
extern const char *const routine_sound[PASSO_SOUND_COUNT];

/* The table's entry, its reader, and the entry of a key in "routine" or "block" (ROUTINE_COUNT:
 * none). */
const struct passo_setting *routine_setting_at(enum routine_id id);
routine_reader *routine_reader_at(enum routine_id id);
enum routine_id routine_id_of(const char *section, const char *key);
/* A passage's setting of this key that a block takes, or SETTING_COUNT. */
enum setting_id routine_passage_id_of(const char *key);
bool routine_takes(enum setting_id id);
/* Whether it says what is tuned to: such a line may also stand under [routine], for all blocks. */
bool routine_tunes(enum setting_id id);
/* The key of that section most like a misspelt one, or NULL. */
const char *routine_key_nearest(const char *section, const char *key);

#define ROUTINE_ORIGIN_BYTES (PASSO_PATH_BYTES + 32)

/* A block as it was written. */
struct routine_block_lines {
    char name[PASSO_NAME_MAX];
    char *origin;             /* "FILE, line N": where it begins */
    struct passo_lines own;   /* of ROUTINE_SETTINGS but tempo; section "block" */
    struct passo_lines taken; /* as a passage's, in its sections; the tempo too, as `tempo` */
};

/* A routine file as it was written. */
struct routine_lines {
    struct passo_lines common; /* section "routine" */
    struct passo_lines tuning; /* as a passage's, in its sections: what all blocks are tuned to */
    struct routine_block_lines block[PASSO_BLOCKS_MAX];
    size_t blocks;
};

/* Collects the lines; those that cannot stand where they stand are faults. Free with
 * routine_lines_deinit(). */
void routine_lines_read(struct routine_lines *lines, const char *path, struct passo_faults *faults);
void routine_lines_deinit(struct routine_lines *lines);
/* The line of an own setting, or NULL. */
const struct passo_line *routine_line_of(const struct passo_lines *lines, enum routine_id id);

/* Reads block number `block` of the lines into draft->block and draft->planned, of which nothing
 * is set yet; the common lines have been read. */
void routine_block_read(struct routine_draft *draft, const struct routine_lines *lines,
                        size_t block, struct passo_faults *faults);
/* What the reader makes of each own line. */
void routine_own_read(struct routine_draft *draft, const struct passo_lines *lines,
                      struct passo_faults *faults);
/* How long a block lasts, all keys of one day together. */
int64_t routine_block_ms(const struct passo_block *block);
/* Reads the whole file from its lines. */
void routine_file_read(const char *path, const struct routine_lines *lines,
                       struct passo_routine_file *out_file, struct passo_faults *faults);

#endif
