/* Routine files: the day's fundamentals as blocks in order, and how passages are set in. The same
 * kind of file as a passage's: `[routine]`, then a `[block NAME]` each, in the order in which they
 * are played. Thread: the main thread. */
#ifndef PASSO_TEXT_ROUTINE_H
#define PASSO_TEXT_ROUTINE_H

#include <passo/today.h>
#include "text/setup.h"

/* What is heard under a block. */
enum passo_block_sound {
    PASSO_SOUND_PULSE,
    PASSO_SOUND_DRONE, /* the key's tonic; the count-in clicks */
    PASSO_SOUND_PULSE_AND_DRONE,
    PASSO_SOUND_COUNT
};

struct passo_routine_block {
    char caption[PASSO_TEXT_MAX]; /* what to do, for the player: "soft entries, even sound"; "" */
    enum passo_block_sound sound; /* a drone: setup->intonation.drone says which, and its key is
                                     that of the pass */
    struct passo_setup *setup;    /* passage (meter, beat, bars, tags; title is the block's name),
                                     pulse and rest of its passes; the target is its tempo; NULL of a
                                     free block, which has no pulse */
};

struct passo_routine_file {
    char title[PASSO_TEXT_MAX];
    char name[PASSO_NAME_MAX];    /* for the log: the file's own name without folder and ".passo" */
    char summary[PASSO_TEXT_MAX]; /* the first comment line */
    int64_t whole_ms;             /* `minutes`: blocks and passages together; 0: not said */
    int64_t passages_ms;          /* `passages`: for visits; 0: not said */
    uint16_t visit_passes;        /* of one visit; 0: no limit */
    bool rests;                   /* rests are offered; `offer-rests` */
    struct passo_routine routine; /* pass_ms filled */
    struct passo_routine_block block[PASSO_BLOCKS_MAX];
    bool rest_said;         /* `rest` of [routine]: of visits and of blocks that say nothing */
    struct passo_rule rest; /* then: its rest_... fields */
    char rest_value[PASSO_NAME_MAX * 2];  /* as it was written, for a visit's lines; "" */
    char reference_value[PASSO_NAME_MAX]; /* likewise of [routine]: what the day is tuned to */
};

/* [routine]           usual
 * title = TEXT        the file's name
 * minutes = N         the blocks and `passages` together
 * passages = N        what `minutes` leaves
 * order = mixed|blocked                          mixed
 * visit = 6 passes, 3 min (either alone too)     6 passes, 3 min
 * least = 2 min, most = 8 min                    of one passage and day
 * relative = yes|no                              yes
 * rest = as in a passage                         as played, at least 6 s, at most 60 s
 * offer-rests = yes|no                           yes
 * and of a passage's lines what all blocks are tuned to: instrument, transposition (keys then are
 * as they are written), reference, drone, fifth
 * [block NAME]
 * caption = TEXT; minutes = N | passes = N (of each key); one of them must be said
 * keys = fourths|fifths|chromatic up|chromatic down|LIST of keys ("B-flat, E-flat, F minor"), the
 *        first four also "fourths, minor"; `each day = N` of them: "each-day"
 * sound = pulse|drone|pulse and drone            pulse
 * free = yes|no       no pulse, no bars: only its minutes
 * and of a passage's lines: tempo (a block's target), meter, beat, bars, pickup, tags, shape, and
 * those of [pulse], rest, and what it is tuned to. `drone` says which drone sounds, and alone that
 * one does.
 * Reads a file. Every fault names file and line; the file is good only if none was added. Free with
 * passo_routine_deinit(), also after faults. */
void passo_routine_read(const char *path, struct passo_routine_file *out_file,
                        struct passo_faults *faults);
void passo_routine_deinit(struct passo_routine_file *file);
/* Whether a file has a block or a line of [routine]: then it is no passage's. False also of one
 * that cannot be read. */
bool passo_routine_is(const char *path);
/* Writes the routine of a file with all that holds, said or by default, in the file's own syntax,
 * with a few words of help and how long each block takes. Reading that gives the same routine.
 * After a fault nothing is written. */
void passo_routine_write(const char *path, FILE *to, struct passo_faults *faults);

/* Reads "E-flat major", "Eb", "c sharp minor", "F# minor", "A♭ major", "Bbm"; a lone letter is
 * major ("c" too: only the word or an m makes minor). PASSO_ERR_SYNTAX: it is no key. */
PASSO_MUST_CHECK enum passo_error passo_key_read(const char *text, struct passo_key *out_key);
/* Keys with commas between, as a passage's `key`; returns how many were read, at most `most`. A
 * part that is no key ends the reading, and *out_whole is false. */
size_t passo_keys_read(const char *text, struct passo_key *out_key, size_t most, bool *out_whole);
/* "E-flat major". Returns out. */
const char *passo_key_write(struct passo_key key, char *out, size_t bytes);

#endif
