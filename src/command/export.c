/* `passo export`: the log as CSV, all of it or some passages. */
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include "command/logbook.h"
#include "store/export.h"
#include "text/notation.h"

enum { TAKES = PASSO_TAKES_WORDS | PASSO_TAKES_EXPORT | PASSO_TAKES_RECORD | PASSO_TAKES_LOG };

/* What is wished: a wish a passage, each once. */
struct wishes {
    struct passo_log_wish *wish;
    size_t count;
    const char *word; /* what is looked for among the titles */
    bool any_case;
    bool found;
};

static char *copy_of(const char *text)
{
    size_t bytes = strlen(text) + 1;
    return memcpy(passo_xcalloc(bytes, 1), text, bytes);
}

static void add_wish(struct wishes *wishes, const char *title, const char *piece)
{
    for (size_t i = 0; i < wishes->count; i++) {
        if (!strcmp(wishes->wish[i].passage, title) && !strcmp(wishes->wish[i].piece, piece))
            return;
    }
    wishes->wish = passo_xrealloc(wishes->wish, (wishes->count + 1) * sizeof *wishes->wish);
    wishes->wish[wishes->count++] =
        (struct passo_log_wish){.passage = copy_of(title), .piece = copy_of(piece)};
}

static void take_title(void *user, const char *title, const char *piece)
{
    struct wishes *wishes = user;
    if (wishes->any_case ? strcasecmp(title, wishes->word) : strcmp(title, wishes->word))
        return;
    wishes->found = true;
    add_wish(wishes, title, piece);
}

/* A passage that is filed under the word. */
static bool wish_filed(struct wishes *wishes, const char *word, struct passo_faults *faults)
{
    char path[PASSO_PATH_BYTES];
    struct passo_lines lines = {0};
    struct passo_setup *setup;
    if (!passo_find("passages", word, path))
        return false;
    setup = passo_xcalloc(1, sizeof *setup);
    passo_lines_add_file(&lines, path, faults);
    passo_setup_resolve(&lines, false, setup, faults);
    passo_filed_title(setup, word);
    if (!faults->faults)
        add_wish(wishes, setup->passage.title, setup->passage.piece);
    passo_lines_deinit(&lines);
    free(setup);
    return true;
}

/* A title in the log: as it is written, else with small and capital letters the same. */
static enum passo_error wish_title(struct wishes *wishes, struct passo_log *log, const char *word,
                                   char *out_fault, size_t fault_bytes)
{
    enum passo_error error = PASSO_OK;
    wishes->word = word;
    wishes->found = false;
    for (int i = 0; i < 2 && !wishes->found && error == PASSO_OK; i++) {
        wishes->any_case = i == 1;
        error = passo_log_titles(log, take_title, wishes, out_fault, fault_bytes);
    }
    return error;
}

static enum passo_exit exit_of(enum passo_error error)
{
    return error == PASSO_ERR_FILE ? PASSO_EXIT_MACHINE : PASSO_EXIT_USAGE;
}

/* What the words and options say. False: told why not, and *out_exit says how to end. */
static bool read_wishes(struct wishes *wishes, struct passo_log *log,
                        const struct passo_options *options, enum passo_exit *out_exit)
{
    char fault[PASSO_PATH_BYTES + 256];
    char shown[128];
    struct passo_faults faults = {0};
    for (size_t i = 0; i < options->words; i++) {
        const char *word = options->word[i];
        if (wish_filed(wishes, word, &faults))
            continue;
        enum passo_error error = wish_title(wishes, log, word, fault, sizeof fault);
        if (error != PASSO_OK) {
            passo_tell(fault);
            passo_faults_deinit(&faults);
            *out_exit = exit_of(error);
            return false;
        }
        if (!wishes->found)
            passo_fault(&faults,
                        "%s: no passage is filed under that name, and none of that title is in the "
                        "log",
                        *word ? passo_text_clean(word, shown, sizeof shown) : "\"\"");
    }
    bool told = passo_faults_told(&faults);
    passo_faults_deinit(&faults);
    *out_exit = PASSO_EXIT_USAGE;
    return !told;
}

/* The rest of each wish; with no word one for all of the log. */
static void limit_wishes(struct wishes *wishes, const struct passo_options *options)
{
    if (!options->words)
        wishes->wish = passo_xcalloc(++wishes->count, sizeof *wishes->wish);
    for (size_t i = 0; i < wishes->count; i++) {
        wishes->wish[i].player = options->player[0] ? options->player : NULL;
        wishes->wish[i].from_day = options->from_day;
        wishes->wish[i].to_day = options->to_day;
    }
}

static void free_wishes(struct wishes *wishes)
{
    for (size_t i = 0; i < wishes->count; i++) {
        free((void *)(uintptr_t)wishes->wish[i].passage);
        free((void *)(uintptr_t)wishes->wish[i].piece);
    }
    free(wishes->wish);
}

static enum passo_exit write_out(struct passo_log *log, const struct wishes *wishes,
                                 const struct passo_options *options)
{
    char fault[PASSO_PATH_BYTES + 256];
    char shown[128];
    uint64_t rows;
    const struct passo_export export = {.path = options->csv ? options->csv : "-",
                                        .force = options->force,
                                        .days = options->days,
                                        .wish = wishes->wish,
                                        .wishes = wishes->count};
    enum passo_error error = passo_log_export(log, &export, &rows, fault, sizeof fault);
    if (error != PASSO_OK) {
        passo_tell(fault);
        return exit_of(error);
    }
    if (!rows)
        passo_tell("there is no such pass in the log; only the names of the columns were written");
    else if (strcmp(export.path, "-") != 0 && strncmp(export.path, "/dev/", 5) != 0)
        printf("%s: %" PRIu64 " %s written.\n", passo_text_clean(export.path, shown, sizeof shown),
               rows,
               options->days ? (rows == 1 ? "day" : "days") : (rows == 1 ? "pass" : "passes"));
    return PASSO_EXIT_DONE;
}

static void check(struct passo_options *options)
{
    if (options->from_day && options->to_day && options->from_day > options->to_day)
        passo_fault(&options->faults, "--from is a later day than --to; turn them round");
    if (options->csv && !*options->csv)
        passo_fault(&options->faults, "--csv needs the name of a file, or -");
}

enum passo_exit passo_command_export(const struct passo_program_command *self, int argc,
                                     char **argv)
{
    struct passo_options options;
    struct passo_log *log;
    struct wishes wishes = {0};
    enum passo_exit ended;
    passo_options_read(&options, TAKES, argc, argv);
    check(&options);
    if (!passo_options_told(&options, TAKES, self, &ended)) {
        if (passo_logbook_open(&options, PASSO_LOG_LOOK, &log, &ended) &&
            read_wishes(&wishes, log, &options, &ended)) {
            limit_wishes(&wishes, &options);
            ended = write_out(log, &wishes, &options);
        }
        passo_log_close(log);
        free_wishes(&wishes);
    }
    passo_options_deinit(&options);
    return ended;
}
