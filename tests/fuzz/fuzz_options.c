/* Any text as the words of a command line, one a line, read as the commands read theirs: --key and
 * its value, or --key=value. What resolves without a fault goes through the checks of a file. */
#include "fuzz.h"

#include "command/options.h"

enum { WORDS_MAX = 400 };

static int split(char *text, char *word[WORDS_MAX])
{
    int words = 0;
    for (char *line; words < WORDS_MAX && (line = strsep(&text, "\n"));)
        word[words++] = line;
    return words;
}

/* An option that is taken back leaves nothing behind. */
static void check_take_back(struct fuzz_trial *trial)
{
    static struct passo_setup again;
    const size_t lines = trial->lines.lines;
    passo_lines_add_option(&trial->lines, "title", "another", &trial->faults);
    passo_lines_take_back(&trial->lines);
    passo_setup_resolve(&trial->lines, true, &again, &trial->faults);
    FUZZ_CHECK(trial->lines.lines == lines && trial->faults.faults == 0);
    FUZZ_CHECK(!strcmp(again.passage.title, trial->setup.passage.title));
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t bytes)
{
    static struct fuzz_trial trial;
    const unsigned takes = PASSO_TAKES_SETUP | PASSO_TAKES_RUN | PASSO_TAKES_CLIMB |
                           PASSO_TAKES_AFTER | PASSO_TAKES_PLAN;
    struct passo_options options;
    struct passo_random random;
    char *word[WORDS_MAX];
    fuzz_memory_begin();
    fuzz_seed(&random, data, bytes);
    char *text = passo_xcalloc(bytes + 1, 1);
    memcpy(text, data, bytes);
    passo_options_read(&options, takes, split(text, word), word);
    trial.lines = options.lines;
    trial.lines.today_yyyymmdd = FUZZ_TODAY;
    trial.faults = options.faults;
    passo_setup_resolve(&trial.lines, true, &trial.setup, &trial.faults);
    fuzz_check_faults(&trial.faults);
    if (trial.faults.faults == 0) {
        check_take_back(&trial);
        fuzz_check_write(&trial);
        fuzz_check_course(&trial.setup, &random);
    }
    options.lines = trial.lines;
    options.faults = trial.faults;
    passo_options_deinit(&options);
    free(text);
    fuzz_memory_end();
    return 0;
}
