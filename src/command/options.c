/* Long options only: `--name value` or `--name=value`. Every fault is told, not only the first. */
#include "command/options.h"
#include "command/options_priv.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "command/dates.h"
#include "text/notation.h"

static const struct run_option *find(const char *name, size_t length, unsigned takes)
{
    for (size_t i = 0; i < run_options_count; i++) {
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

/* A whole number from `least` to `most`; 0 if it is none, which is told. */
static uint32_t number_within(struct passo_options *options, const char *name, const char *value,
                              uint32_t least, uint32_t most)
{
    const size_t faults = options->faults.faults;
    const uint64_t read = number(options, name, value);
    if (options->faults.faults != faults)
        return 0;
    if (read >= least && read <= most)
        return (uint32_t)read;
    passo_fault(&options->faults, "--%s %s: from %u to %u would do", name, value, least, most);
    return 0;
}

static void read_octave(struct passo_options *options, const char *value)
{
    char *end;
    char shown[64];
    const long octave = strtol(value, &end, 10);
    if (*end || end == value || octave < -4 || octave > 4)
        passo_fault(&options->faults, "--octave %s: from -4 (down) to 4 (up) would do: -1",
                    passo_text_clean(value, shown, sizeof shown));
    else
        options->octave = (int8_t)octave;
}

/* Of a sound file, and of hearing. */
static void read_sound(struct passo_options *options, const char *name, const char *value)
{
    if (strcmp(name, "passes") == 0)
        options->passes = number_within(options, name, value, 1, 50);
    if (strcmp(name, "rate") == 0)
        options->rate_hz = number_within(options, name, value, 8000, 192000);
    if (strcmp(name, "times") == 0)
        options->times = number_within(options, name, value, 1, 100);
    if (strcmp(name, "octave") == 0)
        read_octave(options, value);
}

static void read_minutes(struct passo_options *options, const char *value)
{
    char *end;
    char shown[64];
    double minutes = strtod(value, &end);
    if (*end || end == value || strpbrk(value, "xX") || !(minutes > 0 && minutes <= 1440)) {
        passo_fault(&options->faults, "--minutes %s: a number from 0.01 to 1440 is wanted",
                    passo_text_clean(value, shown, sizeof shown));
        return;
    }
    options->limit_ms = (int64_t)(minutes * 60000.0 + 0.5);
}

static void read_dates(struct passo_options *options, const char *name, const char *value)
{
    bool date = strcmp(name, "date") == 0;
    int32_t *day = date                        ? &options->lines.today_yyyymmdd
                   : strcmp(name, "from") == 0 ? &options->from_day
                   : strcmp(name, "to") == 0   ? &options->to_day
                                               : NULL;
    char shown[64];
    if (day && !passo_date_read(value, passo_today(), day, date ? &options->wall_ns : NULL))
        passo_fault(&options->faults,
                    "--%s %s: a day is wanted, such as 2026-11-25, yesterday or \"14 days ago\"%s",
                    name, passo_text_clean(value, shown, sizeof shown),
                    date ? ", also with a time: \"2026-11-25 18:30\"" : "");
}

static void take(struct passo_options *options, const char *name, const char *value)
{
    const struct {
        const char *name;
        bool *to;
    } switches[] = {{"plain", &options->plain},       {"silent", &options->silent},
                    {"fast", &options->fast},         {"force", &options->force},
                    {"simulate", &options->simulate}, {"verbose", &options->verbose},
                    {"no-log", &options->no_log},     {"afresh", &options->afresh},
                    {"studio", &options->studio},     {"ascii", &options->ascii},
                    {"days", &options->days},         {"by-file-name", &options->by_file_name},
                    {"list", &options->list},         {"all", &options->all},
                    {"drawn", &options->drawn},       {"stems", &options->stems},
                    {"sides", &options->sides},       {"alternate", &options->alternate},
                    {"help", &options->help}};
    const struct {
        const char *name;
        const char **to;
    } texts[] = {{"after", &options->after},   {"marks", &options->marks},
                 {"csv", &options->csv},       {"device", &options->device},
                 {"player", &options->player}, {"tempo", &options->tempo},
                 {"clean", &options->clean},   {"against", &options->against},
                 {"log", &options->log},       {"ability", &options->ability},
                 {"out", &options->out},       {"players", &options->players},
                 {"name", &options->name},     {"new", &options->new_name},
                 {"only", &options->only},     {"order", &options->order},
                 {"at", &options->at},         {"quiet", &options->quiet},
                 {"pulse", &options->pulse},   {"routine", &options->routine},
                 {"bits", &options->bits},     {"cues", &options->cues},
                 {"keys", &options->keys}};
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
    read_sound(options, name, value);
    read_dates(options, name, value);
}

/* The option of this command that is most alike to a misspelt one, or NULL. */
static const char *nearest_option(const char *key, unsigned takes)
{
    const char *nearest = NULL;
    size_t best = SIZE_MAX;
    size_t settings;
    const struct passo_setting *setting = passo_settings(&settings);
    for (size_t i = 0; i < run_options_count; i++) {
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

void passo_options_read(struct passo_options *options, unsigned takes, int argc, char **argv)
{
    char shown[128];
    *options = (struct passo_options){
        .player = "", .runs = 10000, .seed = 1, .lines = {.today_yyyymmdd = passo_today()}};
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

bool passo_options_told(const struct passo_options *options, unsigned takes,
                        const struct passo_program_command *command, enum passo_exit *out_exit)
{
    *out_exit = options->help ? PASSO_EXIT_DONE : PASSO_EXIT_USAGE;
    if (options->help) {
        options_print_help(takes, command);
        return true;
    }
    /* Where a setup is to be resolved its faults are told together with these. */
    return !(takes & PASSO_TAKES_SETUP) && passo_faults_told(&options->faults);
}
