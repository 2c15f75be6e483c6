/* The report of many players: who they are, and which passages. The order is that of the options,
 * else that in which the log met them; nobody is left out for want of practice. */
#include <ctype.h>
#include <stdlib.h>
#include <string.h>
#include "command/report_parts.h"
#include "text/notation.h"

/* Stands for the player without a name in --players. */
static const char own[] = "own";

struct names {
    char **name;
    size_t count;
};

/* Adds a name that is not there yet. */
static void add_name(struct names *names, const char *name, size_t length)
{
    for (size_t i = 0; i < names->count; i++) {
        if (strlen(names->name[i]) == length && !memcmp(names->name[i], name, length))
            return;
    }
    names->name = passo_xrealloc(names->name, (names->count + 1) * sizeof *names->name);
    names->name[names->count] = strndup(name, length);
    PASSO_BUG_ON(!names->name[names->count]);
    names->count++;
}

static void free_names(struct names *names)
{
    for (size_t i = 0; i < names->count; i++)
        free(names->name[i]);
    free(names->name);
}

/* "A.B., C.D." */
static void read_names(struct names *names, const char *list)
{
    while (*list) {
        size_t length = strcspn(list, ",");
        const char *next = list + length + (list[length] == ',');
        while (length && isspace((unsigned char)*list)) {
            list++;
            length--;
        }
        while (length && isspace((unsigned char)list[length - 1]))
            length--;
        if (length == sizeof own - 1 && !strncmp(list, own, length))
            add_name(names, "", 0);
        else if (length)
            add_name(names, list, length);
        list = next;
    }
}

static void meet(void *user, const char *player)
{
    if (player[0])
        add_name(user, player, strlen(player));
}

static bool read_players(struct names *names, const struct passo_options *options,
                         struct passo_log *log, enum passo_exit *out_exit)
{
    char fault[PASSO_PATH_BYTES + 256];
    if (options->players) {
        read_names(names, options->players);
        if (names->count)
            return true;
        passo_tell("--players: names are wanted, with commas between them: --players \"A.B., "
                   "C.D.\"");
        *out_exit = PASSO_EXIT_USAGE;
        return false;
    }
    enum passo_error error = passo_log_players(log, meet, names, fault, sizeof fault);
    if (error != PASSO_OK)
        *out_exit = report_log_fault(error, fault);
    return error == PASSO_OK;
}

/* The passages of the operands, else those that anyone of them practised in the period. */
static bool read_titles(struct report_titles *titles, const struct passo_report *report,
                        const struct passo_options *options, struct passo_log *log,
                        const struct names *names, enum passo_exit *out_exit)
{
    struct passo_log_wish wish = {.from_day = report->from_day, .to_day = report->to_day};
    struct report_titles known = {0};
    struct passo_faults faults = {0};
    bool good = true;
    if (options->words) {
        const struct passo_log_wish any = {.player = NULL};
        good = report_titles_read(log, &any, &known, out_exit);
        for (size_t i = 0; i < options->words && good; i++)
            report_titles_pick(titles, options->word[i], &known, &faults);
        report_titles_deinit(&known);
    }
    for (size_t i = 0; i < names->count && good && !options->words; i++) {
        wish.player = names->name[i];
        good = report_titles_read(log, &wish, titles, out_exit);
    }
    if (passo_faults_told(&faults)) {
        *out_exit = PASSO_EXIT_USAGE;
        good = false;
    }
    passo_faults_deinit(&faults);
    return good;
}

static bool read_rows(struct passo_report *report, struct passo_log *log, const char *player,
                      const struct report_title *title, enum passo_exit *out_exit)
{
    char fault[PASSO_PATH_BYTES + 256];
    const struct passo_log_wish wish = {.player = player,
                                        .passage = title->title,
                                        .piece = title->piece,
                                        .from_day = report->from_day,
                                        .to_day = report->to_day};
    passo_report_expect(report, player, title->title, title->piece);
    enum passo_error error =
        passo_log_rows(log, &wish, passo_report_take, report, fault, sizeof fault);
    if (error != PASSO_OK)
        *out_exit = report_log_fault(error, fault);
    return error == PASSO_OK;
}

bool report_studio_fill(struct passo_report *report, const struct passo_options *options,
                        struct passo_log *log, enum passo_exit *out_exit)
{
    struct names names = {0};
    struct report_titles titles = {0};
    bool good = read_players(&names, options, log, out_exit) &&
                read_titles(&titles, report, options, log, &names, out_exit);
    for (size_t i = 0; i < names.count; i++) {
        for (size_t j = 0; j < titles.count && good; j++)
            good = read_rows(report, log, names.name[i], &titles.at[j], out_exit);
    }
    report_titles_deinit(&titles);
    free_names(&names);
    return good;
}

/* What is looked for among the players, and whether it was met. */
struct search {
    const char *name;
    bool met;
    size_t best;
    char shown[128];
};

static void look(void *user, const char *player)
{
    struct search *search = user;
    search->met = search->met || !strcmp(player, search->name);
    if (player[0] && passo_word_nearer(search->name, player, &search->best))
        passo_text_clean(player, search->shown, sizeof search->shown);
}

bool report_player_known(const struct passo_options *options, struct passo_log *log,
                         enum passo_exit *out_exit)
{
    char fault[PASSO_PATH_BYTES + 256];
    struct search search = {.name = options->player, .met = !options->player[0], .best = SIZE_MAX};
    if (search.met)
        return true;
    enum passo_error error = passo_log_players(log, look, &search, fault, sizeof fault);
    if (error != PASSO_OK)
        *out_exit = report_log_fault(error, fault);
    if (error != PASSO_OK || search.met)
        return error == PASSO_OK;
    snprintf(fault, sizeof fault, "--player %s: the log has no player of that name%s%s%s",
             options->player, search.shown[0] ? "; did you mean " : "", search.shown,
             search.shown[0] ? "?" : "; passo report --studio shows those that it has");
    passo_tell(fault);
    *out_exit = PASSO_EXIT_USAGE;
    return false;
}
