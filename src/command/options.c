/* Long options only: `--name value` or `--name=value`. Every fault is told, not only the first. */
#include "command/options.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>
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
    {"simulate", PASSO_TAKES_CLIMB, "", "a simulated player marks the passes"},
    {"seed", PASSO_TAKES_CLIMB, "N",
     "what the simulated player does; the same again with the same N"},
    {"csv", PASSO_TAKES_CLIMB, "FILE|-", "write one row a pass"},
    {"force", PASSO_TAKES_CLIMB, "", "write over an existing CSV"},
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
    } texts[] = {{"marks", &options->marks},
                 {"csv", &options->csv},
                 {"device", &options->device},
                 {"player", &options->player},
                 {"tempo", &options->tempo}};
    for (size_t i = 0; i < sizeof switches / sizeof switches[0]; i++) {
        if (strcmp(name, switches[i].name) == 0)
            *switches[i].to = true;
    }
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        if (strcmp(name, texts[i].name) == 0)
            *texts[i].to = value;
    }
    if (strcmp(name, "seed") == 0)
        options->seed = number(options, name, value);
    if (strcmp(name, "minutes") == 0)
        read_minutes(options, value);
}

/* One option; returns how many words of argv it took. */
static int read_option(struct passo_options *options, unsigned takes, int argc, char **argv)
{
    char shown[64];
    char key[64];
    const char *name = argv[0] + 2;
    const char *equals = strchr(name, '=');
    size_t length = equals ? (size_t)(equals - name) : strlen(name);
    const struct run_option *option = find(name, length, takes);
    if (option && !option->value[0]) {
        if (equals)
            passo_fault(&options->faults, "--%s takes no value", option->name);
        take(options, option->name, NULL);
        return 1;
    }
    snprintf(key, sizeof key, "%.*s", (int)(length < sizeof key ? length : sizeof key - 1), name);
    const struct run_option *elsewhere = option ? NULL : find(name, length, ~0u);
    bool unknown = !option && !(takes & PASSO_TAKES_SETUP);
    if (elsewhere || unknown) {
        passo_fault(&options->faults,
                    elsewhere ? "--%s does not go with this command; --help lists what does"
                              : "--%s is not known here; --help lists what is",
                    passo_text_clean(key, shown, sizeof shown));
        if (elsewhere && !elsewhere->value[0])
            return 1;
        return argc > 1 && !equals && strncmp(argv[1], "--", 2) != 0 ? 2 : 1;
    }
    if (!equals && argc < 2) {
        passo_fault(&options->faults, "--%s needs a value behind it",
                    passo_text_clean(key, shown, sizeof shown));
        return 1;
    }
    const char *value = equals ? equals + 1 : argv[1];
    if (option)
        take(options, option->name, value);
    else
        passo_lines_add_option(&options->lines, key, value, &options->faults);
    return equals ? 1 : 2;
}

/* A path as it is, or the name of a filed passage. */
static void read_operand(struct passo_options *options)
{
    char path[PASSO_PATH_BYTES];
    char shown[128];
    if (strchr(options->operand, '/') || access(options->operand, F_OK) == 0)
        passo_lines_add_file(&options->lines, options->operand, &options->faults);
    else if (passo_find("passages", options->operand, path))
        passo_lines_add_file(&options->lines, path, &options->faults);
    else
        passo_fault(&options->faults,
                    "%s: there is no such file here, and no passage is filed under that name",
                    passo_text_clean(options->operand, shown, sizeof shown));
}

void passo_options_read(struct passo_options *options, unsigned takes, int argc, char **argv)
{
    char shown[128];
    *options = (struct passo_options){.player = "", .seed = 1};
    for (int i = 0; i < argc;) {
        if (strcmp(argv[i], "-h") == 0) {
            options->help = true;
            i++;
        } else if (strncmp(argv[i], "--", 2) == 0 && argv[i][2]) {
            i += read_option(options, takes, argc - i, argv + i);
        } else if ((takes & PASSO_TAKES_FILE) && !options->operand && argv[i][0] != '-') {
            options->operand = argv[i++];
        } else {
            passo_fault(&options->faults, "%s: what is this? --help shows what goes here",
                        passo_text_clean(argv[i++], shown, sizeof shown));
        }
    }
    if (options->operand && !options->help)
        read_operand(options);
}

void passo_options_deinit(struct passo_options *options)
{
    passo_lines_deinit(&options->lines);
    passo_faults_deinit(&options->faults);
}

bool passo_faults_told(const struct passo_faults *faults)
{
    for (size_t i = 0; i < faults->faults; i++)
        fprintf(stderr, "passo: %s\n", faults->fault[i]);
    return faults->faults > 0;
}

static void print_row(const char *name, const char *value, const char *help, const char *usual)
{
    char left[80];
    snprintf(left, sizeof left, "--%s%s%s", name, value[0] ? " " : "", value);
    printf("  %-26s %s%s%s%s\n", left, help, usual[0] ? " (" : "", usual, usual[0] ? ")" : "");
}

static void print_settings(void)
{
    size_t count;
    const char *section = "";
    const struct passo_setting *settings = passo_settings(&count);
    for (size_t i = 0; i < count; i++) {
        if (strcmp(section, settings[i].section) != 0)
            printf("\nThe %s, as in a passage file (in brackets what holds if nothing is said):\n",
                   settings[i].section);
        section = settings[i].section;
        print_row(settings[i].key, settings[i].value, settings[i].help, settings[i].usual);
    }
}

static void print_keys(void)
{
    size_t count;
    const struct passo_key_help *keys = passo_key_table(&count);
    printf("\nKeys while it runs:\n");
    for (size_t i = 0; i < count; i++)
        printf("  %-26s %s\n", keys[i].keys, keys[i].words);
}

static void print_presets(void)
{
    char summary[256];
    char **names;
    size_t count = passo_find_all("presets", &names);
    printf("\nPresets (--preset NAME):\n");
    for (size_t i = 0; i < count; i++) {
        printf("  %-20s %s\n", names[i], passo_preset_summary(names[i], summary, sizeof summary));
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
        print_settings();
        print_presets();
    }
    if (takes & PASSO_TAKES_RUN)
        print_keys();
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
