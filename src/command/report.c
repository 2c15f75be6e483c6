/* `passo report`: the passes of the log, for the player and the teacher. Own passages or those of
 * one player; with --studio those of many. */
#include "command/report_parts.h"

#include <stdlib.h>
#include <string.h>
#include "command/logbook.h"
#include "store/day.h"
#include "text/notation.h"

enum {
    TAKES = PASSO_TAKES_WORDS | PASSO_TAKES_LOG | PASSO_TAKES_RECORD | PASSO_TAKES_REPORT,
    STUDIO_DAYS = 7
};

/* The period that is meant: of a studio the last week if none is said. */
static struct passo_report *begin(const struct passo_options *options)
{
    int32_t today = options->lines.today_yyyymmdd;
    int32_t from = options->from_day;
    int32_t last = options->to_day ? options->to_day : today;
    if (options->studio && from == 0)
        from = passo_day_of(passo_day_count(last) - (STUDIO_DAYS - 1));
    return passo_report_begin(today, from, options->to_day);
}

static void check(struct passo_options *options)
{
    int32_t last = options->to_day ? options->to_day : options->lines.today_yyyymmdd;
    if (options->players && !options->studio)
        passo_fault(&options->faults, "--players goes with --studio; of one player: --player NAME");
    if (options->studio && options->player[0])
        passo_fault(&options->faults,
                    "--player is of one player; with --studio say --players \"%.64s\"",
                    options->player);
    if (options->out && passo_logbook_is(options, options->out))
        passo_fault(&options->faults, "--out %s is the log itself; name another file",
                    options->out);
    if (options->from_day > last)
        passo_fault(&options->faults, "--from is a day behind the last of the period (%s)",
                    options->to_day ? "--to" : "today");
}

/* Rows of one player: of a passage, or of all of them. */
static bool read_rows(struct passo_report *report, const struct passo_options *options,
                      struct passo_log *log, const struct report_title *title,
                      enum passo_exit *out_exit)
{
    char fault[PASSO_PATH_BYTES + 256];
    const struct passo_log_wish wish = {.player = options->player,
                                        .passage = title ? title->title : NULL,
                                        .piece = title ? title->piece : NULL,
                                        .from_day = report->from_day,
                                        .to_day = report->to_day};
    if (title)
        passo_report_expect(report, options->player, title->title, title->piece);
    enum passo_error error =
        passo_log_rows(log, &wish, passo_report_take, report, fault, sizeof fault);
    if (error != PASSO_OK)
        *out_exit = report_log_fault(error, fault);
    return error == PASSO_OK;
}

static bool pick(struct report_titles *picked, const struct passo_options *options,
                 struct passo_log *log, enum passo_exit *out_exit)
{
    const struct passo_log_wish all = {.player = options->player};
    struct report_titles known = {0};
    struct passo_faults faults = {0};
    bool good = report_titles_read(log, &all, &known, out_exit);
    for (size_t i = 0; i < options->words && good; i++)
        report_titles_pick(picked, options->word[i], &known, &faults);
    if (passo_faults_told(&faults)) {
        *out_exit = PASSO_EXIT_USAGE;
        good = false;
    }
    passo_faults_deinit(&faults);
    report_titles_deinit(&known);
    return good;
}

static bool fill(struct passo_report *report, const struct passo_options *options,
                 struct passo_log *log, enum passo_exit *out_exit)
{
    struct report_titles picked = {0};
    if (!report_player_known(options, log, out_exit))
        return false;
    if (options->words == 0)
        return read_rows(report, options, log, NULL, out_exit);
    bool good = pick(&picked, options, log, out_exit);
    for (size_t i = 0; i < picked.count && good; i++)
        good = read_rows(report, options, log, &picked.at[i], out_exit);
    report_titles_deinit(&picked);
    return good;
}

/* Whose practice the log has, for one who looks for their own and has none. */
struct others {
    char names[64];
    bool many;
};

static void meet(void *user, const char *player)
{
    struct others *others = user;
    char shown[64];
    size_t used = strlen(others->names);
    passo_text_clean(player, shown, sizeof shown);
    if (used + strlen(shown) + 8 > sizeof others->names)
        others->many = true;
    else if (player[0])
        snprintf(others->names + used, sizeof others->names - used, "%s%s", used ? ", " : "",
                 shown);
}

static void tell_of_others(const struct passo_options *options, const struct passo_report *report,
                           struct passo_log *log)
{
    char fault[PASSO_PATH_BYTES + 256];
    char words[256];
    struct others others = {.many = false};
    if (report->passages || options->player[0] ||
        passo_log_players(log, meet, &others, fault, sizeof fault) || !others.names[0])
        return;
    snprintf(words, sizeof words, "the log has practice of %s%s: --player NAME shows it",
             others.names, others.many ? " and others" : "");
    passo_tell(words);
}

static void draw(const struct passo_options *options, const struct passo_report *report)
{
    const struct passo_report_style style = report_style(options);
    if (options->studio)
        passo_studio_text(report, &style, stdout);
    else
        passo_report_text(report, &style, stdout);
}

static enum passo_exit run(const struct passo_options *options)
{
    struct passo_log *log;
    struct passo_beside page;
    enum passo_exit ended = PASSO_EXIT_DONE;
    if (!passo_logbook_open(options, PASSO_LOG_LOOK, &log, &ended))
        return ended;
    struct passo_report *report = begin(options);
    bool good = options->studio ? report_studio_fill(report, options, log, &ended)
                                : fill(report, options, log, &ended);
    if (good && !options->studio)
        tell_of_others(options, report, log);
    passo_log_close(log);
    if (good)
        passo_report_settle(report);
    if (good && !options->out)
        draw(options, report);
    else if (good && report_page_open(options, &page, &ended))
        ended = report_page_write(options, report, &page);
    passo_report_free(report);
    return ended;
}

enum passo_exit passo_command_report(const struct passo_program_command *self, int argc,
                                     char **argv)
{
    struct passo_options options;
    enum passo_exit ended;
    passo_options_read(&options, TAKES, argc, argv);
    check(&options);
    if (!passo_options_told(&options, TAKES, self, &ended))
        ended = run(&options);
    passo_options_deinit(&options);
    return ended;
}
