/* The pieces of `passo report`. Thread: the main thread. */
#ifndef PASSO_COMMAND_REPORT_PARTS_H
#define PASSO_COMMAND_REPORT_PARTS_H

#include "command/options.h"
#include "report/report.h"
#include "store/beside.h"
#include "store/log.h"

/* A passage by its texts, as the log knows it. */
struct report_title {
    char *title;
    char *piece;
};

/* Each once, in the order in which they were added. Zero-initialize. */
struct report_titles {
    struct report_title *at;
    size_t count;
};

void report_titles_add(struct report_titles *titles, const char *title, const char *piece);
void report_titles_deinit(struct report_titles *titles);
/* The passages of a player (NULL: of any) with practice in the period, in the order in which the
 * log met them. False: the fault is told, and *out_exit says how to end. */
bool report_titles_read(struct passo_log *log, const struct passo_log_wish *wish,
                        struct report_titles *titles, enum passo_exit *out_exit);
/* Picks the passages of a name: a filed passage's, else a title that is known, exactly or but for
 * the case of its letters. A name that is neither is a fault. */
void report_titles_pick(struct report_titles *picked, const char *name,
                        const struct report_titles *known, struct passo_faults *faults);

/* Tells a fault of reading the log; how to end. */
enum passo_exit report_log_fault(enum passo_error error, const char *fault);

/* Fills the report of many players. False: told, and *out_exit says how to end. */
bool report_studio_fill(struct passo_report *report, const struct passo_options *options,
                        struct passo_log *log, enum passo_exit *out_exit);
/* Whether the log has such a player; if not, that is a fault. */
bool report_player_known(const struct passo_options *options, struct passo_log *log,
                         enum passo_exit *out_exit);

/* How to draw on standard output. */
struct passo_report_style report_style(const struct passo_options *options);
/* Opens the page of --out beside its place. False: told, and *out_exit says how to end. */
bool report_page_open(const struct passo_options *options, struct passo_beside *out_page,
                      enum passo_exit *out_exit);
/* Writes and keeps it, and says where it is. */
enum passo_exit report_page_write(const struct passo_options *options,
                                  const struct passo_report *report, struct passo_beside *page);

#endif
