/* `passo add --new NAME`: on a terminal the few questions that a passage needs, each with what
 * Enter takes; what was given as an option is not asked. An answer is a line like an option's, read
 * by the same reader, whose sentence a wrong one gets. Nothing is written before the last answer.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <unistd.h>
#include "command/add.h"
#include "session/signals.h"
#include "text/notation.h"

#define HOUR_NS      INT64_C(3600000000000)
#define ANSWER_BYTES 4097 /* a terminal gives lines of at most 4096 bytes */
#define WORDS_BYTES  160
#define PAGE         80

enum reply { REPLY_TAKEN, REPLY_AGAIN, REPLY_ENDED, REPLY_BROKEN_OFF };

struct asking {
    struct passo_lines *lines;
    struct passo_setup setup; /* of what is said so far */
    const char *name;
};

/* One question: the words before the brackets, and what Enter takes ("" if it must be answered,
 * "none" if then nothing is said). */
struct question {
    const char *key;
    char words[WORDS_BYTES];
    char usual[WORDS_BYTES];
};

/* What an option or an answer says of a setting, or NULL. */
static const char *said(const struct passo_lines *lines, const char *key)
{
    const char *value = NULL;
    for (size_t i = 0; i < lines->lines; i++)
        if (lines->line[i].rank == PASSO_RANK_OPTION && !strcmp(lines->line[i].key, key))
            value = lines->line[i].value;
    return value;
}

static bool resolved(struct asking *asking, bool need_target, struct passo_faults *faults)
{
    size_t before = faults->faults;
    passo_setup_resolve(asking->lines, need_target, &asking->setup, faults);
    return faults->faults == before;
}

/* A line from the terminal without its end. */
static enum reply read_answer(char out[ANSWER_BYTES])
{
    while (!passo_signals_wait(STDIN_FILENO, HOUR_NS))
        if (passo_signals_ending())
            return REPLY_BROKEN_OFF;
    ssize_t length = read(STDIN_FILENO, out, ANSWER_BYTES - 1);
    if (length <= 0)
        return REPLY_ENDED;
    out[length] = '\0';
    out[strcspn(out, "\r\n")] = '\0';
    return REPLY_TAKEN;
}

/* A sentence set in a little, folded at blanks. */
static void print_inside(const char *words)
{
    int at = printf(" ");
    while (*words) {
        int length = (int)strcspn(words, " ");
        if (at > 1 && at + 1 + length > PAGE)
            at = printf("\n ") - 1;
        at += printf(" %.*s", length, words);
        words += length + (words[length] == ' ');
    }
    putchar('\n');
}

static void show_help(const char *key)
{
    char summary[256];
    char shown[128];
    char **names;
    if (strcmp(key, "preset") != 0) {
        print_inside(passo_setting_find(key)->help);
        return;
    }
    size_t count = passo_find_all("presets", &names);
    for (size_t i = 0; i < count; i++) {
        passo_print_folded(passo_text_clean(names[i], shown, sizeof shown),
                           passo_preset_summary(names[i], summary, sizeof summary));
        free(names[i]);
    }
    free(names);
    passo_print_folded("none", "What holds if nothing is said: passo show tells it.");
}

/* The sentences without the option's dashes: nobody has typed them here. */
static void tell_faults(const char *key, const struct passo_faults *faults)
{
    char prefix[64];
    size_t length = (size_t)snprintf(prefix, sizeof prefix, "--%s", key);
    for (size_t i = 0; i < faults->faults; i++) {
        char shown[2048];
        const char *fault = faults->fault[i];
        if (!strncmp(fault, prefix, length))
            fault += length + strspn(fault + length, ": ");
        print_inside(passo_text_clean(fault, shown, sizeof shown));
    }
}

static enum reply take_answer(struct asking *asking, const char *key, const char *answer)
{
    char shown[ANSWER_BYTES];
    struct passo_faults faults = {0};
    enum reply reply = REPLY_TAKEN;
    if (strcmp(passo_text_clean(answer, shown, sizeof shown), answer) != 0) {
        printf("  there are signs in this that are no text (arrow keys make them); once more\n");
        return REPLY_AGAIN;
    }
    passo_lines_add_option(asking->lines, key, answer, &faults);
    if (faults.faults || !resolved(asking, false, &faults)) {
        tell_faults(key, &faults);
        passo_lines_take_back(asking->lines);
        reply = REPLY_AGAIN;
    }
    passo_faults_deinit(&faults);
    return reply;
}

static enum reply ask_once(struct asking *asking, const struct question *question)
{
    char answer[ANSWER_BYTES];
    char *text = answer;
    printf("%s", question->words);
    if (question->usual[0])
        printf(" [%s]", question->usual);
    printf(": ");
    fflush(stdout);
    enum reply reply = read_answer(answer);
    if (reply != REPLY_TAKEN)
        return reply;
    text += strspn(text, " \t");
    for (size_t length = strlen(text); length && strchr(" \t", text[length - 1]); length--)
        text[length - 1] = '\0';
    if (!strcmp(text, "?")) {
        show_help(question->key);
        return REPLY_AGAIN;
    }
    if (!*text && !question->usual[0]) {
        printf("  this is the one thing that must be said\n");
        return REPLY_AGAIN;
    }
    const char *taken = *text ? text : question->usual;
    bool optional = !strcmp(question->usual, "none") || !strcmp(question->key, "preset");
    if (optional && !strcasecmp(taken, "none"))
        return REPLY_TAKEN;
    return take_answer(asking, question->key, taken);
}

/* The beat unit is asked where the meter leaves a choice: 6/8 in two or in six. */
static bool has_choice(struct asking *asking, struct question *question)
{
    char usual[64];
    char note[64];
    const struct passo_meter *meter = &asking->setup.passage.meter;
    struct passo_ratio beat = passo_meter_beat_unit(meter);
    struct passo_ratio unit = passo_ratio(1, meter->unit);
    if (!passo_ratio_cmp(beat, unit))
        return false;
    snprintf(question->usual, sizeof question->usual, "%s",
             passo_note_value_write(beat, usual, sizeof usual));
    snprintf(question->words, sizeof question->words, "Beat unit, %s or %s", usual,
             passo_note_value_write(unit, note, sizeof note));
    return true;
}

/* Whether a question is to be asked, with its words made ready. */
static bool prepare(struct asking *asking, struct question *question)
{
    char tempo[96];
    const struct passo_setup *setup = &asking->setup;
    const char *target = said(asking->lines, "target");
    if (said(asking->lines, question->key))
        return false;
    if (!strcmp(question->key, "title"))
        snprintf(question->usual, sizeof question->usual, "%s", asking->name);
    if (!strcmp(question->key, "beat"))
        return !(target && strchr(target, '=')) && has_choice(asking, question);
    if (strcmp(question->key, "target") != 0)
        return true;
    snprintf(question->words, sizeof question->words, "Target tempo, 96 or %s",
             passo_tempo_write(96000, setup->passage.beat, tempo, sizeof tempo));
    return !setup->rule.target_mbpm; /* a list of tempi says it too */
}

static enum reply ask_all(struct asking *asking)
{
    struct question question[] = {
        {"title", "Title", ""},
        {"piece", "Piece", "none"},
        {"meter", "Meter", "4/4"},
        {"bars", "Bars, 33-36 or how many", "4"},
        {"beat", "", ""},
        {"target", "", ""},
        {"context", "Last run in context, bars before and after", "none"},
        {"preset", "Preset, ? lists them", "steady"},
    };
    enum reply reply = REPLY_TAKEN;
    passo_signals_init();
    printf("Enter takes what stands in brackets, ? says more, Ctrl-C ends it.\n");
    for (size_t i = 0; i < sizeof question / sizeof *question; i++) {
        if (!prepare(asking, &question[i]))
            continue;
        do
            reply = ask_once(asking, &question[i]);
        while (reply == REPLY_AGAIN);
        if (reply != REPLY_TAKEN)
            return reply;
    }
    return REPLY_TAKEN;
}

/* A tempo never stands without its beat unit, though it may have been said so. */
static void name_beat(struct asking *asking)
{
    char tempo[96];
    int32_t mbpm;
    struct passo_ratio beat;
    struct passo_faults faults = {0};
    const struct passo_setup *setup = &asking->setup;
    passo_tempo_write(setup->rule.target_mbpm, setup->passage.beat, tempo, sizeof tempo);
    if (said(asking->lines, "target") && !passo_tempo_read(tempo, &mbpm, &beat))
        passo_lines_add_option(asking->lines, "target", tempo, &faults);
    passo_faults_deinit(&faults);
}

static enum passo_exit file_lines(struct asking *asking, struct passo_filing *filing)
{
    char path[PASSO_PATH_BYTES];
    char fault[2 * PASSO_PATH_BYTES];
    char *text = NULL;
    FILE *to = open_memstream(&text, &filing->length);
    PASSO_BUG_ON(!to);
    name_beat(asking);
    passo_lines_write(asking->lines, to);
    PASSO_BUG_ON(fclose(to) != 0);
    filing->bytes = text;
    enum passo_error error = passo_file_away(filing, path, fault, sizeof fault);
    free(text);
    return add_filed(error, filing->name, path, fault);
}

static enum passo_exit ask_and_file(struct asking *asking, struct passo_filing *filing,
                                    struct passo_faults *faults)
{
    bool terminal = isatty(STDIN_FILENO) && isatty(STDOUT_FILENO);
    resolved(asking, !terminal, faults);
    if (passo_faults_told(faults))
        return PASSO_EXIT_USAGE;
    enum reply reply = terminal ? ask_all(asking) : REPLY_TAKEN;
    if (reply != REPLY_TAKEN) {
        printf("\n");
        fflush(stdout);
        passo_tell("the questions were broken off; nothing was filed");
        return reply == REPLY_ENDED ? PASSO_EXIT_USAGE
                                    : (enum passo_exit)(PASSO_EXIT_SIGNAL + passo_signals_ending());
    }
    if (resolved(asking, true, faults))
        passo_lines_take_notes_in(asking->lines, &asking->setup, faults);
    if (passo_faults_told(faults))
        return PASSO_EXIT_USAGE;
    return file_lines(asking, filing);
}

enum passo_exit add_new(struct passo_options *options)
{
    char name[PASSO_PATH_BYTES];
    char path[PASSO_PATH_BYTES];
    char fault[2 * PASSO_PATH_BYTES];
    struct passo_filing filing = {.name = name, .force = options->force};
    if (!add_name(options->new_name, false, name, &options->faults)) {
        passo_faults_told(&options->faults);
        return PASSO_EXIT_USAGE;
    }
    /* Before anything is asked. */
    enum passo_error error = passo_file_away_place(&filing, path, fault, sizeof fault);
    if (error)
        return add_filed(error, name, path, fault);
    struct asking *asking = passo_xcalloc(1, sizeof *asking);
    asking->lines = &options->lines;
    asking->name = name;
    enum passo_exit ended = ask_and_file(asking, &filing, &options->faults);
    free(asking);
    return ended;
}
