/* Options of the commands. Those that concern the run stand in one table here; every other long
 * option is a line of a passage file with the same name and value (text/setup.h). */
#ifndef PASSO_COMMAND_OPTIONS_H
#define PASSO_COMMAND_OPTIONS_H

#include "command/command.h"
#include "text/setup.h"

/* Which options a command takes. */
enum passo_takes {
    PASSO_TAKES_SETUP = 1 << 0, /* the lines of a passage file */
    PASSO_TAKES_RUN = 1 << 1,   /* view, output, device */
    PASSO_TAKES_CLIMB = 1 << 2, /* marks, CSV, player, seed */
    PASSO_TAKES_TEMPO = 1 << 3, /* --tempo, --minutes */
    PASSO_TAKES_DEVICES = 1 << 4,
    PASSO_TAKES_FILE = 1 << 5,      /* one operand: a passage file or its name */
    PASSO_TAKES_PRESET = 1 << 6,    /* ... or, with that, a preset's name */
    PASSO_TAKES_WORDS = 1 << 7,     /* operands that the command reads itself */
    PASSO_TAKES_FILING = 1 << 8,    /* --name, --new */
    PASSO_TAKES_AFTER = 1 << 9,     /* the log of earlier days */
    PASSO_TAKES_PLAN = 1 << 10,     /* --clean, --against, --runs, --seed */
    PASSO_TAKES_LOG = 1 << 11,      /* --log */
    PASSO_TAKES_RECORD = 1 << 12,   /* which passes of it: --player, --from, --to */
    PASSO_TAKES_REPORT = 1 << 13,   /* --out, --studio, --players, --ascii */
    PASSO_TAKES_EXPORT = 1 << 14,   /* --csv, --days */
    PASSO_TAKES_IMPORT = 1 << 15,   /* --player, --by-file-name */
    PASSO_TAKES_PRACTICE = 1 << 16, /* --ability, --afresh of a climb */
    PASSO_TAKES_TODAY = 1 << 17,    /* --list, --only, --all, --order and the minutes of a day */
    PASSO_TAKES_CHECK = 1 << 18,    /* --list, --at, --drawn, --quiet */
    PASSO_TAKES_RENDER = 1 << 19,   /* what goes into a sound file, and what kind of file */
    PASSO_TAKES_HEAR = 1 << 20,     /* --fast, --times, --alternate, --octave, --keys */
};

struct passo_options {
    bool help;
    bool plain;
    bool silent;
    bool fast;
    bool force;
    bool simulate;
    bool verbose;
    bool no_log;
    bool keeps; /* the command keeps a log: set by the command */
    bool afresh;
    bool studio;
    bool ascii;
    bool days;
    bool by_file_name;
    bool list;
    bool all;
    bool drawn;
    bool stems;
    bool sides;
    bool alternate;
    const char *after;
    const char *marks;
    const char *csv;
    const char *device;
    const char *player;
    const char *tempo;
    const char *clean;
    const char *against;
    const char *log;
    const char *ability;
    const char *out;
    const char *players;
    const char *only;
    const char *order;
    const char *at;
    const char *quiet;
    const char *pulse;
    const char *routine;
    const char *bits;
    const char *cues;
    const char *keys;
    uint32_t passes;  /* --passes, 1 to 50; 0: not said */
    uint32_t rate_hz; /* --rate, 8000 to 192000; 0: not said */
    uint32_t times;   /* --times, 1 to 100; 0: not said */
    int8_t octave;    /* --octave, -4 to 4 */
    int32_t from_day; /* 20261101; 0: not said */
    int32_t to_day;
    int64_t wall_ns; /* --date: when simulated time begins; 0: not said */
    uint64_t runs;   /* 10000 */
    uint64_t seed;
    bool seeded;                 /* the player named it */
    int64_t limit_ms;            /* --minutes */
    const char *operand;         /* NULL: none */
    char path[PASSO_PATH_BYTES]; /* the operand's file; "" if none was found */
    bool is_preset;              /* that file is a preset */
    const char **word;           /* the operands of PASSO_TAKES_WORDS */
    size_t words;
    const char *name;
    const char *new_name;
    struct passo_lines lines;
    struct passo_faults faults;
};

/* Reads a command's options and, of an operand, the file. Faults are collected; call
 * passo_options_told() next. Free with passo_options_deinit(). */
void passo_options_read(struct passo_options *options, unsigned takes, int argc, char **argv);
void passo_options_deinit(struct passo_options *options);
/* Prints --help if asked for; else, of a command without a setup, the faults (where a setup follows
 * they are told with those of resolving it). True if the command is to end with *out_exit. */
bool passo_options_told(const struct passo_options *options, unsigned takes,
                        const struct passo_program_command *command, enum passo_exit *out_exit);
/* Finds the operand, a path or a name, and adds its lines. For passo_options_read(). */
void passo_operand_read(struct passo_options *options, unsigned takes);
/* A filed passage without a title is called as it is filed: in the log, the list, the report. */
void passo_filed_title(struct passo_setup *setup, const char *name);
/* The same of the operand, if it is the name of a filed passage. */
void passo_operand_title(const struct passo_options *options, struct passo_setup *setup);
/* Prints words on stdout in a column of their own behind `left`, folded at blanks. */
void passo_print_folded(const char *left, const char *words);
/* Prints one sentence on stderr, made safe for a terminal. */
void passo_tell(const char *fault);
/* Prints the faults on stderr; true if there are any. */
bool passo_faults_told(const struct passo_faults *faults);

#endif
