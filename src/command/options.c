/* Long options only: `--name value` or `--name=value`. Every fault is told, not only the first. */
#include "command/options.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include "text/notation.h"
#include "view/views.h"

struct run_option {
    const char *name;
    unsigned takes;
    const char *value; /* "" for a switch */
    const char *help;
};

static const struct run_option run_options[] = {
    {"plain", PASSO_TAKES_RUN, "", "lines of text instead of the screen"},
    {"silent", PASSO_TAKES_RUN, "", "no sound: the clock alone"},
    {"device", PASSO_TAKES_RUN, "NAME", "part of a sound device's name, or its number"},
    {"fast", PASSO_TAKES_CLIMB, "", "simulated time: a whole climb in a moment, for scripts"},
    {"marks", PASSO_TAKES_CLIMB, "FILE|-",
     "marks from a file: c clean, m miss, . unmarked, v void, u undo"},
    {"simulate", PASSO_TAKES_CLIMB, "",
     "a simulated player, good and learning as he goes, marks the passes"},
    {"seed", PASSO_TAKES_CLIMB | PASSO_TAKES_PLAN, "N",
     "what chance does to a simulated player; the same again with the same N"},
    {"clean", PASSO_TAKES_PLAN, "SHARES",
     "how often a pass is clean now: \"85 % at 72, 40 % at 96\" (one is enough)"},
    {"against", PASSO_TAKES_PLAN, "PRESET", "beside it the same passage under this preset"},
    {"runs", PASSO_TAKES_PLAN, "N", "how often the climb is tried by chance (10000)"},
    {"after", PASSO_TAKES_AFTER, "LOG",
     "a session CSV of earlier days: the climb opens where the last of them lets it"},
    {"csv", PASSO_TAKES_CLIMB, "FILE|-", "write one row a pass"},
    {"force", PASSO_TAKES_CLIMB, "", "write over an existing CSV"},
    {"name", PASSO_TAKES_FILING, "NAME", "file it under this name (else the file's own)"},
    {"new", PASSO_TAKES_FILING, "NAME", "make a passage: asks what the options below do not say"},
    {"force", PASSO_TAKES_FILING, "", "in place of one that is filed under that name"},
    {"player", PASSO_TAKES_CLIMB, "NAME", "who plays, for the CSV (initials or a code will do)"},
    {"tempo", PASSO_TAKES_TEMPO, "TEMPO", "the tempo of the pulse"},
    {"minutes", PASSO_TAKES_TEMPO, "N", "end after so long"},
    {"verbose", PASSO_TAKES_DEVICES, "", "also what the sound libraries had to say"},
    {"help", ~0u, "", "this help"},
};
enum { RUN_OPTIONS = sizeof run_options / sizeof run_options[0] };

static const struct run_option *find(const char *name, size_t length, unsigned takes)
{
    for (size_t i = 0; i < RUN_OPTIONS; i++) {
        const struct run_option *option = &run_options[i];
        if ((option->takes & takes) && strlen(option->name) == length &&
            strncmp(option->name, name, length) == 0)
            return option;
    }
    return NULL;
}

static uint64_t number(struct passo_options *options, const char *name, const char *value)
{
    char *end;
    char shown[64];
    errno = 0;
    unsigned long long read = strtoull(value, &end, 10);
    if (errno || *end || end == value || value[0] == '-')
        passo_fault(&options->faults, "--%s %s: a whole number, 0 or more, is wanted", name,
                    passo_text_clean(value, shown, sizeof shown));
    return read;
}

static void read_runs(struct passo_options *options, const char *value)
{
    const size_t faults = options->faults.faults;
    options->runs = number(options, "runs", value);
    if (options->faults.faults == faults && (options->runs < 1 || options->runs > 1000000))
        passo_fault(&options->faults, "--runs %s: from 1 to 1000000 would do", value);
}

static void read_minutes(struct passo_options *options, const char *value)
{
    char *end;
    char shown[64];
    double minutes = strtod(value, &end);
    if (*end || end == value || !(minutes > 0 && minutes <= 1440)) {
        passo_fault(&options->faults, "--minutes %s: a number from 0.01 to 1440 is wanted",
                    passo_text_clean(value, shown, sizeof shown));
        return;
    }
    options->limit_ms = (int64_t)(minutes * 60000.0 + 0.5);
}

static void take(struct passo_options *options, const char *name, const char *value)
{
    const struct {
        const char *name;
        bool *to;
    } switches[] = {{"plain", &options->plain},       {"silent", &options->silent},
                    {"fast", &options->fast},         {"force", &options->force},
                    {"simulate", &options->simulate}, {"verbose", &options->verbose},
                    {"help", &options->help}};
    const struct {
        const char *name;
        const char **to;
    } texts[] = {{"after", &options->after},   {"marks", &options->marks},
                 {"csv", &options->csv},       {"device", &options->device},
                 {"player", &options->player}, {"tempo", &options->tempo},
                 {"clean", &options->clean},   {"against", &options->against},
                 {"name", &options->name},     {"new", &options->new_name}};
    for (size_t i = 0; i < sizeof switches / sizeof switches[0]; i++) {
        if (strcmp(name, switches[i].name) == 0)
            *switches[i].to = true;
    }
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        if (strcmp(name, texts[i].name) == 0)
            *texts[i].to = value;
    }
    if (strcmp(name, "seed") == 0) {
        options->seed = number(options, name, value);
        options->seeded = true;
    }
    if (strcmp(name, "runs") == 0)
        read_runs(options, value);
    if (strcmp(name, "minutes") == 0)
        read_minutes(options, value);
}

/* The option of this command that is most alike to a misspelt one, or NULL. */
static const char *nearest_option(const char *key, unsigned takes)
{
    const char *nearest = NULL;
    size_t best = SIZE_MAX;
    size_t settings;
    const struct passo_setting *setting = passo_settings(&settings);
    for (size_t i = 0; i < RUN_OPTIONS; i++) {
        if ((run_options[i].takes & takes) && passo_word_nearer(key, run_options[i].name, &best))
            nearest = run_options[i].name;
    }
    for (size_t i = 0; (takes & PASSO_TAKES_SETUP) && i < settings; i++) {
        if (passo_word_nearer(key, setting[i].key, &best))
            nearest = setting[i].key;
    }
    return nearest;
}

/* An option that is not of this command; returns how many words of argv it took. */
static int refuse_option(struct passo_options *options, unsigned takes, const char *key,
                         const char *next)
{
    char shown[64];
    const struct run_option *elsewhere = find(key, strlen(key), ~0u);
    const char *nearest = nearest_option(key, takes);
    passo_text_clean(key, shown, sizeof shown);
    if (elsewhere)
        passo_fault(&options->faults, "--%s does not go with this command; --help lists what does",
                    shown);
    else if (nearest)
        passo_fault(&options->faults, "--%s is not known here; did you mean --%s?", shown, nearest);
    else
        passo_fault(&options->faults, "--%s is not known here; --help lists what is", shown);
    const struct run_option *meant = nearest ? find(nearest, strlen(nearest), takes) : NULL;
    bool is_switch = (elsewhere && !elsewhere->value[0]) || (meant && !meant->value[0]);
    return is_switch || !next || strncmp(next, "--", 2) == 0 ? 1 : 2;
}

/* One option; returns how many words of argv it took. */
static int read_option(struct passo_options *options, unsigned takes, int argc, char **argv)
{
    char key[64];
    const char *name = argv[0] + 2;
    const char *equals = strchr(name, '=');
    size_t length = equals ? (size_t)(equals - name) : strlen(name);
    const struct run_option *option = find(name, length, takes);
    snprintf(key, sizeof key, "%.*s", (int)(length < sizeof key ? length : sizeof key - 1), name);
    if (option && !option->value[0]) {
        if (equals)
            passo_fault(&options->faults, "--%s takes no value", key);
        take(options, key, NULL);
        return 1;
    }
    bool setting = (takes & PASSO_TAKES_SETUP) && passo_setting_find(key);
    if (!option && !setting)
        return refuse_option(options, takes, key, equals || argc < 2 ? NULL : argv[1]);
    if (!equals && argc < 2) {
        passo_fault(&options->faults, "--%s needs a value behind it", key);
        return 1;
    }
    const char *value = equals ? equals + 1 : argv[1];
    if (option)
        take(options, key, value);
    else
        passo_lines_add_option(&options->lines, key, value, &options->faults);
    return equals ? 1 : 2;
}

/* The local day, by the clock. */
static int32_t today(void)
{
    struct tm local;
    time_t now = time(NULL);
    localtime_r(&now, &local);
    return (local.tm_year + 1900) * 10000 + (local.tm_mon + 1) * 100 + local.tm_mday;
}

void passo_options_read(struct passo_options *options, unsigned takes, int argc, char **argv)
{
    char shown[128];
    *options = (struct passo_options){
        .player = "", .runs = 10000, .seed = 1, .lines = {.today_yyyymmdd = today()}};
    for (int i = 0; i < argc;) {
        if (strcmp(argv[i], "-h") == 0) {
            options->help = true;
            i++;
        } else if (strncmp(argv[i], "--", 2) == 0 && argv[i][2]) {
            i += read_option(options, takes, argc - i, argv + i);
        } else if ((takes & PASSO_TAKES_FILE) && !options->operand && argv[i][0] != '-') {
            options->operand = argv[i++];
        } else if ((takes & PASSO_TAKES_WORDS) && argv[i][0] != '-') {
            options->word = passo_xrealloc(options->word, (options->words + 1) * sizeof(char *));
            options->word[options->words++] = argv[i++];
        } else {
            passo_fault(&options->faults, "%s: what is this? --help shows what goes here",
                        passo_text_clean(argv[i++], shown, sizeof shown));
        }
    }
    if (options->operand && !options->help)
        passo_operand_read(options, takes);
}

void passo_options_deinit(struct passo_options *options)
{
    passo_lines_deinit(&options->lines);
    passo_faults_deinit(&options->faults);
    free(options->word);
    options->word = NULL;
}

void passo_tell(const char *fault)
{
    char shown[PASSO_PATH_BYTES + 512];
    fprintf(stderr, "passo: %s\n", passo_text_clean(fault, shown, sizeof shown));
}

bool passo_faults_told(const struct passo_faults *faults)
{
    for (size_t i = 0; i < faults->faults; i++)
        passo_tell(faults->fault[i]);
    return faults->faults > 0;
}

enum { HELP_COLUMN = 30, HELP_WIDTH = 80 };

/* Words in a column of their own, folded at blanks. */
void passo_print_folded(const char *left, const char *words)
{
    int column = printf("  %-*s", HELP_COLUMN - 3, left);
    if (column >= HELP_COLUMN) {
        putchar('\n');
        column = 0;
    }
    while (*words) {
        int length = (int)strcspn(words, " ");
        if (column > HELP_COLUMN && column + 1 + length > HELP_WIDTH) {
            putchar('\n');
            column = 0;
        }
        int gap = column < HELP_COLUMN ? HELP_COLUMN - column : 1;
        column += printf("%*s%.*s", gap, "", length, words);
        words += length + (words[length] == ' ');
    }
    putchar('\n');
}

static void print_row(const char *name, const char *value, const char *help, const char *usual)
{
    char left[80];
    char words[512];
    snprintf(left, sizeof left, "--%s%s%s", name, value[0] ? " " : "", value);
    snprintf(words, sizeof words, "%s%s%s%s", help, usual[0] ? " (" : "", usual,
             usual[0] ? ")" : "");
    passo_print_folded(left, words);
}

/* A steady pulse has no ladder and nothing to mark. */
static bool of_pulse(const char *section)
{
    return strcmp(section, "passage") == 0 || strcmp(section, "shape") == 0 ||
           strcmp(section, "pulse") == 0;
}

static void print_settings(unsigned takes)
{
    size_t count;
    const char *section = "";
    const struct passo_setting *settings = passo_settings(&count);
    printf("\nThe same lines as in a passage file; in brackets what holds if nothing is said.\n"
           "A value with a blank in it needs quotes: --steps \"8 bpm\", --loop \"run up=1-2\"\n");
    for (size_t i = 0; i < count; i++) {
        if ((takes & PASSO_TAKES_TEMPO) && !of_pulse(settings[i].section))
            continue;
        if (strcmp(section, settings[i].section) != 0)
            printf("\n[%s]\n", settings[i].section);
        section = settings[i].section;
        print_row(settings[i].key, settings[i].value, settings[i].help, settings[i].usual);
    }
}

static void print_keys(unsigned takes)
{
    size_t count;
    const struct passo_key_help *keys = passo_key_table(&count);
    printf("\nKeys while it runs:\n");
    for (size_t i = 0; i < count; i++) {
        enum passo_command command = keys[i].command;
        bool pulse = command == PASSO_COMMAND_PAUSE || command == PASSO_COMMAND_HARDER ||
                     command == PASSO_COMMAND_EASIER || command == PASSO_COMMAND_LOUDER ||
                     command == PASSO_COMMAND_SOFTER || command == PASSO_COMMAND_HELP ||
                     command == PASSO_COMMAND_QUIT;
        const char *words = keys[i].words;
        if (takes & PASSO_TAKES_TEMPO) {
            if (!pulse)
                continue;
            words = command == PASSO_COMMAND_HARDER   ? "faster by one"
                    : command == PASSO_COMMAND_EASIER ? "slower by one"
                                                      : words;
        }
        passo_print_folded(keys[i].keys, words);
    }
}

static void print_presets(void)
{
    char summary[256];
    char **names;
    size_t count = passo_find_all("presets", &names);
    printf("\nPresets (--preset NAME):\n");
    for (size_t i = 0; i < count; i++) {
        passo_print_folded(names[i], passo_preset_summary(names[i], summary, sizeof summary));
        free(names[i]);
    }
    free(names);
}

static void print_help(unsigned takes, const struct passo_program_command *command)
{
    printf("passo %s%s%s [OPTIONS]\n\n%s\n\nOptions:\n", command->name,
           command->operand[0] ? " " : "", command->operand, command->text);
    for (size_t i = 0; i < RUN_OPTIONS; i++) {
        if (run_options[i].takes & takes)
            print_row(run_options[i].name, run_options[i].value, run_options[i].help, "");
    }
    if (takes & PASSO_TAKES_SETUP) {
        print_settings(takes);
        if (!(takes & PASSO_TAKES_TEMPO))
            print_presets();
    }
    if (takes & PASSO_TAKES_RUN)
        print_keys(takes);
}

bool passo_options_told(const struct passo_options *options, unsigned takes,
                        const struct passo_program_command *command, enum passo_exit *out_exit)
{
    *out_exit = options->help ? PASSO_EXIT_DONE : PASSO_EXIT_USAGE;
    if (options->help) {
        print_help(takes, command);
        return true;
    }
    /* Where a setup is to be resolved its faults are told together with these. */
    return !(takes & PASSO_TAKES_SETUP) && passo_faults_told(&options->faults);
}
