/* The pieces of `passo render`: what is asked, what is played, the cue sheet, the file. Thread: the
 * main thread. */
#ifndef PASSO_COMMAND_RENDER_PARTS_H
#define PASSO_COMMAND_RENDER_PARTS_H

#include "command/staging.h"
#include "output/file.h"

enum render_what {
    RENDER_TRACK, /* a climb, or a turn of it */
    RENDER_PULSE,
    RENDER_DRONE,
    RENDER_ROUTINE
};

enum render_cue {
    RENDER_CUE_LISTEN_COUNT_IN, /* of a pass that the machine plays */
    RENDER_CUE_LISTEN,          /* a bar of it */
    RENDER_CUE_LISTEN_LANDING,
    RENDER_CUE_START, /* the starting note */
    RENDER_CUE_COUNT_IN,
    RENDER_CUE_BAR, /* a bar that is played, or the part of one with which a pass enters */
    RENDER_CUE_LANDING,
    RENDER_CUE_FREE, /* a block without a pulse */
    RENDER_CUE_REST,
    RENDER_CUE_END,
    RENDER_CUE_COUNT
};

/* A row of the cue sheet. */
struct render_row {
    enum render_cue cue;
    int64_t frame;           /* of the file */
    int32_t bar;             /* as printed; of BAR and LISTEN */
    int32_t mbpm;            /* 0: none, in a rest */
    struct passo_ratio beat; /* the unit of that tempo */
    uint32_t pass;           /* from 1; 0: none */
    char turn[2 * PASSO_TEXT_MAX + 8];
};

/* What the conductor handed over, as rows. Zero-initialize; free row. */
struct render_sheet {
    struct render_row *row;
    size_t rows;
    uint32_t passes;
    int64_t end_frame; /* of the last landing */
    bool rings;        /* a tone sounds up to there */
    int32_t low_mbpm;  /* of all passes */
    int32_t high_mbpm;
    struct passo_ratio beat;
    uint32_t rate_hz;
};

struct render {
    struct passo_options *options;
    enum render_what what;
    const char *out; /* as the player said it */
    char path[PASSO_FILE_PATH_BYTES];
    char pitch_path[PASSO_FILE_PATH_BYTES]; /* of stems; "" none */
    struct passo_setup *setup;              /* not of a routine */
    struct passo_climb_setup run;           /* what is common to all of it */
    char *marks;                            /* of a track: all clean */
    struct today *today;                    /* of a routine; else NULL */
    struct passo_file_job job;
    uint32_t rate_hz;
    int64_t frames; /* of the whole file */
    struct render_sheet sheet;
    char title[PASSO_TEXT_MAX + 32];
    char tempi[128]; /* "quarter = 80 to 96"; "" of a drone and a routine */
    char comment[192];
};

/* --- render_ask.c: what the options say of the file --- */
/* Rate, kind, bits, channels and places; faults are added to the options'. out is set. */
void render_ask(struct render *render);
/* Once title and tempi are known: the path of the file, or the paths of both stems. False: a fault
 * was added, as one of them, or the cue sheet, would take the place of another. */
bool render_paths(struct render *render);
/* A name for a file, of any title: without what a file system takes amiss. Returns out. */
const char *render_name(const char *title, const char *tempi, char *out, size_t bytes);

/* --- render_track.c, render_routine.c --- */
/* Reads the setup, and makes it one that is played through without a mark. False: faults were
 * added. */
bool render_track_ready(struct render *render);
/* After so many passes of the climbing, all clean, it is over; 0: never. */
uint32_t render_track_passes(const struct passo_course *course);
/* Reads the routine, and plans its blocks. False: faults were added, or told. */
bool render_routine_ready(struct render *render);
void render_routine_free(struct render *render);
enum passo_error render_routine_play(struct render *render, const struct passo_climb_setup *base,
                                     char *out_fault, size_t fault_bytes);

/* --- render_sheet.c --- */
/* A passo_witness.handed whose user is the sheet. */
void render_sheet_take(void *user, enum passo_handed what, const struct passo_setup *setup,
                       const struct passo_plan *plan, uint32_t pass,
                       const struct passo_timeline *timeline);
/* Writes the rows as CSV (RFC 4180) or as lines of text. Returns whether all was written. */
bool render_sheet_write(const struct render_sheet *sheet, bool csv, FILE *to);

/* --- render_write.c --- */
/* Plays it dry, then into the file, with its cue sheet; tells what came of it. */
enum passo_exit render_write(struct render *render);

#endif
