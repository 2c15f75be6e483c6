/* `passo import`: session CSVs into the log, file by file, and one sentence on each. Ctrl-C is
 * looked for while rows are read and while the log works at its end. */
#include <fcntl.h>
#include <inttypes.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>
#include "command/logbook.h"
#include "session/signals.h"
#include "store/import.h"
#include "text/notation.h"

enum { TAKES = PASSO_TAKES_WORDS | PASSO_TAKES_IMPORT | PASSO_TAKES_LOG, SAY_EVERY_S = 2 };

static char standard_input[] = "/dev/stdin";

/* One file on its way in. */
struct intake {
    const char *path;
    char name[128]; /* as it is said */
    char *player;   /* NULL: as the rows say */
    int64_t said_s; /* when something was last said of it */
    uint64_t said_passes;
};

static int64_t now_s(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return now.tv_sec;
}

static void tell_fault(void *user, const char *sentence)
{
    (void)user;
    passo_tell(sentence);
}

static void tell_busy(void *user)
{
    (void)user;
    passo_tell("another program is writing to the log; waiting for it (Ctrl-C ends)");
}

/* Also says how far a long file is, on a terminal. */
static bool goes_on(void *user, uint64_t passes)
{
    struct intake *intake = user;
    int64_t now = now_s();
    passo_signals_wait(-1, 0);
    if (now - intake->said_s >= SAY_EVERY_S && passes != intake->said_passes &&
        isatty(STDERR_FILENO)) {
        fprintf(stderr, "%s: %" PRIu64 " passes read ...\n", intake->name, passes);
        intake->said_s = now;
        intake->said_passes = passes;
    }
    return passo_signals_ending() == 0;
}

/* "1 pass", "212 passes". */
static const char *passes_words(uint64_t passes, char out[40])
{
    snprintf(out, 40, "%" PRIu64 " %s", passes, passes == 1 ? "pass" : "passes");
    return out;
}

static void say_taken(const struct intake *intake, const struct passo_import_result *result)
{
    char passes[40];
    const char *known = result->known == 1 ? "was" : "were";
    if (!result->passes) {
        char player[128] = "";
        if (intake->player)
            passo_text_clean(intake->player, player, sizeof player);
        printf("%s: no passes%s%s%s.\n", intake->name, *player ? "; " : "", player,
               *player ? " is known to the log now" : "");
        return;
    }
    if (!result->added && !result->corrected) {
        printf("%s: nothing new; the %s in it %s there already.\n", intake->name,
               passes_words(result->passes, passes), known);
        return;
    }
    printf("%s: %s taken in", intake->name, passes_words(result->added, passes));
    if (result->corrected)
        printf(", %" PRIu64 " corrected", result->corrected);
    if (result->known)
        printf(", %" PRIu64 " %s there already", result->known, known);
    printf(".\n");
}

static void say_remarks(const struct intake *intake, const struct passo_import_result *result)
{
    char passes[40];
    char sentence[512];
    passes_words(result->nameless, passes);
    if (result->nameless) {
        snprintf(sentence, sizeof sentence,
                 "%s: %s %s no player and %s as your own; --player NAME says whose %s",
                 intake->name, passes, result->nameless == 1 ? "names" : "name",
                 result->nameless == 1 ? "counts" : "count",
                 result->nameless == 1 ? "it is" : "they are");
        passo_tell(sentence);
    }
    if (result->torn_line) {
        snprintf(sentence, sizeof sentence,
                 "%s, line %" PRIu64 ": this last line is cut off; it was left out and the rest "
                 "kept",
                 intake->name, result->torn_line);
        passo_tell(sentence);
    }
}

static enum passo_exit say_refused(const struct intake *intake, enum passo_error error,
                                   const struct passo_import_result *result, const char *fault)
{
    char sentence[256];
    if (*fault)
        passo_tell(fault);
    if (error == PASSO_ERR_STATE || !*fault) {
        snprintf(sentence, sizeof sentence, "%s: %snothing of it was taken in", intake->name,
                 error == PASSO_ERR_STATE ? "broken off; " : "");
        passo_tell(sentence);
    }
    if (error == PASSO_ERR_STATE)
        return (enum passo_exit)(PASSO_EXIT_SIGNAL + passo_signals_ending());
    return result->by_log ? PASSO_EXIT_MACHINE : PASSO_EXIT_USAGE;
}

static enum passo_exit take_in(struct passo_log *log, struct intake *intake)
{
    char fault[PASSO_PATH_BYTES + 512];
    struct passo_import_result result;
    const struct passo_import import = {.path = intake->path,
                                        .player = intake->player,
                                        .user = intake,
                                        .fault = tell_fault,
                                        .name = intake->name,
                                        .busy = tell_busy,
                                        .go_on = goes_on};
    intake->said_s = now_s();
    enum passo_error error = passo_log_import(log, &import, &result, fault, sizeof fault);
    if (error != PASSO_OK)
        return say_refused(intake, error, &result, fault);
    say_taken(intake, &result);
    fflush(stdout);
    say_remarks(intake, &result);
    return PASSO_EXIT_DONE;
}

/* --- standard input --- */

/* The next bytes; as read(2), and -1 also if a signal ends the waiting. */
static ssize_t read_input(char *bytes, size_t most)
{
    while (!passo_signals_wait(STDIN_FILENO, 1000000000)) {
        if (passo_signals_ending())
            return -1;
    }
    return read(STDIN_FILENO, bytes, most);
}

/* All of it in a file that has no name, as it is read twice. -1: told why not. */
static int keep_input(void)
{
    char bytes[1 << 16];
    ssize_t got = 0;
    FILE *spool = tmpfile();
    int file = spool ? dup(fileno(spool)) : -1;
    bool good = file >= 0;
    if (spool)
        fclose(spool);
    while (good && (got = read_input(bytes, sizeof bytes)) > 0)
        good = write(file, bytes, (size_t)got) == got;
    if (good && got == 0)
        return file;
    passo_tell(passo_signals_ending() ? "broken off; nothing was taken in"
               : good
                   ? "standard input cannot be read"
                   : "there is no room to keep what comes from standard input; make some, or put "
                     "it into a file and name that");
    if (file >= 0)
        close(file);
    return -1;
}

static enum passo_exit take_input_in(struct passo_log *log, struct intake *intake)
{
    char path[40];
    if (isatty(STDIN_FILENO)) {
        passo_tell("standard input is a terminal; name a file, or lead one in: passo import - < "
                   "anna.csv");
        return PASSO_EXIT_USAGE;
    }
    int file = keep_input();
    if (file < 0)
        return passo_signals_ending()
                   ? (enum passo_exit)(PASSO_EXIT_SIGNAL + passo_signals_ending())
                   : PASSO_EXIT_MACHINE;
    snprintf(path, sizeof path, "/dev/fd/%d", file);
    intake->path = path;
    enum passo_exit ended = take_in(log, intake);
    close(file);
    return ended;
}

/* --- files --- */

/* The player whom a file is named after: anna.csv. "" if it is after none. Free it. */
static char *player_of(const char *path)
{
    const char *slash = strrchr(path, '/');
    const char *base = slash ? slash + 1 : path;
    const char *point = strrchr(base, '.');
    size_t length = point ? (size_t)(point - base) : strlen(base);
    char *player = passo_xcalloc(length + 1, 1);
    return memcpy(player, base, length);
}

/* Whether an earlier word names the same file. */
static bool is_named_before(const struct passo_options *options, size_t index)
{
    struct stat about;
    struct stat earlier;
    if (stat(options->word[index], &about) != 0)
        return false;
    for (size_t i = 0; i < index; i++) {
        if (stat(options->word[i], &earlier) == 0 && earlier.st_dev == about.st_dev &&
            earlier.st_ino == about.st_ino)
            return true;
    }
    return false;
}

static enum passo_exit take_word_in(struct passo_log *log, const struct passo_options *options,
                                    size_t index)
{
    char sentence[256];
    struct intake intake = {.path = options->word[index]};
    enum passo_exit ended = PASSO_EXIT_DONE;
    char *player = options->by_file_name ? player_of(intake.path) : NULL;
    intake.player = player;
    if (options->player[0])
        intake.player = (char *)(uintptr_t)options->player;
    bool input = intake.path == standard_input;
    passo_text_clean(input            ? "standard input"
                     : intake.path[0] ? intake.path
                                      : "\"\"",
                     intake.name, sizeof intake.name);
    if (is_named_before(options, index)) {
        snprintf(sentence, sizeof sentence, "%s: this file was named before; once is enough",
                 intake.name);
        passo_tell(sentence);
    } else if (player && (!*player || input)) {
        snprintf(sentence, sizeof sentence,
                 "%s: no player can be told from this name; say --player", intake.name);
        passo_tell(sentence);
        ended = PASSO_EXIT_USAGE;
    } else {
        ended = input ? take_input_in(log, &intake) : take_in(log, &intake);
    }
    free(player);
    return ended;
}

/* The gravest of the exits; what concerns the log or ends the program ends the rest as well. */
static enum passo_exit take_all_in(struct passo_log *log, const struct passo_options *options)
{
    enum passo_exit ended = PASSO_EXIT_DONE;
    for (size_t i = 0; i < options->words; i++) {
        enum passo_exit one = take_word_in(log, options, i);
        if (one != PASSO_EXIT_DONE)
            ended = one;
        if (one >= PASSO_EXIT_MACHINE)
            break;
    }
    return ended;
}

static void check(struct passo_options *options)
{
    if (!options->words)
        passo_fault(&options->faults,
                    "which file? Name the session CSVs to take in: passo import anna.csv");
    if (options->by_file_name && options->player[0])
        passo_fault(&options->faults, "--player and --by-file-name do not go together: one of them "
                                      "says whose the passes are");
}

enum passo_exit passo_command_import(const struct passo_program_command *self, int argc,
                                     char **argv)
{
    struct passo_options options;
    struct passo_log *log;
    enum passo_exit ended;
    /* "-" would be taken for an option; it has another name. */
    for (int i = 0; i < argc; i++) {
        if (strcmp(argv[i], "-") == 0)
            argv[i] = standard_input;
    }
    passo_options_read(&options, TAKES, argc, argv);
    if (!options.help)
        check(&options);
    if (!passo_options_told(&options, TAKES, self, &ended)) {
        passo_signals_init();
        signal(SIGXFSZ, SIG_IGN); /* a limit on files is told as a full disk is */
        if (passo_logbook_open(&options, PASSO_LOG_KEEP, &log, &ended))
            ended = take_all_in(log, &options);
        passo_log_close(log);
    }
    passo_options_deinit(&options);
    return ended;
}
