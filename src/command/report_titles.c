/* Which passages a report is about: by the names of filed ones and by the titles in the log. */
#include "command/report_parts.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include "text/notation.h"

static char *copy(const char *text)
{
    char *fresh = strdup(text);
    PASSO_BUG_ON(!fresh);
    return fresh;
}

void report_titles_add(struct report_titles *titles, const char *title, const char *piece)
{
    for (size_t i = 0; i < titles->count; i++) {
        if (!strcmp(titles->at[i].title, title) && !strcmp(titles->at[i].piece, piece))
            return;
    }
    titles->at = passo_xrealloc(titles->at, (titles->count + 1) * sizeof *titles->at);
    titles->at[titles->count++] = (struct report_title){.title = copy(title), .piece = copy(piece)};
}

void report_titles_deinit(struct report_titles *titles)
{
    for (size_t i = 0; i < titles->count; i++) {
        free(titles->at[i].title);
        free(titles->at[i].piece);
    }
    free(titles->at);
    *titles = (struct report_titles){0};
}

enum passo_exit report_log_fault(enum passo_error error, const char *fault)
{
    passo_tell(fault);
    return error == PASSO_ERR_FILE ? PASSO_EXIT_MACHINE : PASSO_EXIT_USAGE;
}

/* Days come passage by passage. */
struct meeting {
    struct report_titles *titles;
    char title[64];
    char piece[64];
    bool any;
};

static void meet(void *user, const struct passo_log_day *day)
{
    struct meeting *meeting = user;
    if (meeting->any && !strcmp(meeting->title, day->passage) &&
        !strcmp(meeting->piece, day->piece))
        return;
    meeting->any =
        strlen(day->passage) < sizeof meeting->title && strlen(day->piece) < sizeof meeting->piece;
    if (meeting->any) {
        strcpy(meeting->title, day->passage);
        strcpy(meeting->piece, day->piece);
    }
    report_titles_add(meeting->titles, day->passage, day->piece);
}

bool report_titles_read(struct passo_log *log, const struct passo_log_wish *wish,
                        struct report_titles *titles, enum passo_exit *out_exit)
{
    char fault[PASSO_PATH_BYTES + 256];
    struct meeting meeting = {.titles = titles};
    enum passo_error error = passo_log_days(log, wish, meet, &meeting, fault, sizeof fault);
    if (error != PASSO_OK)
        *out_exit = report_log_fault(error, fault);
    return error == PASSO_OK;
}

/* A filed passage that can be read. */
static bool pick_filed(struct report_titles *picked, const char *name)
{
    char path[PASSO_PATH_BYTES];
    struct passo_lines lines = {0};
    struct passo_faults faults = {0};
    if (!passo_find("passages", name, path))
        return false;
    struct passo_setup *setup = passo_xcalloc(1, sizeof *setup);
    passo_lines_add_file(&lines, path, &faults);
    passo_setup_resolve(&lines, false, setup, &faults);
    passo_filed_title(setup, name);
    bool good = faults.faults == 0;
    if (good)
        report_titles_add(picked, setup->passage.title, setup->passage.piece);
    passo_faults_deinit(&faults);
    passo_lines_deinit(&lines);
    free(setup);
    return good;
}

static bool pick_title(struct report_titles *picked, const char *name,
                       const struct report_titles *known,
                       int (*compare)(const char *a, const char *b))
{
    bool any = false;
    for (size_t i = 0; i < known->count; i++) {
        if (compare(known->at[i].title, name) != 0)
            continue;
        report_titles_add(picked, known->at[i].title, known->at[i].piece);
        any = true;
    }
    return any;
}

/* The name or title that is most alike, in `out`; "" if none is near. */
static void nearest(const char *name, const struct report_titles *known, char *out, size_t bytes)
{
    char **filed;
    size_t best = SIZE_MAX;
    size_t count = passo_find_all("passages", &filed);
    out[0] = '\0';
    for (size_t i = 0; i < count; i++) {
        if (passo_word_nearer(name, filed[i], &best))
            snprintf(out, bytes, "%s", filed[i]);
        free(filed[i]);
    }
    free(filed);
    for (size_t i = 0; i < known->count; i++) {
        if (passo_word_nearer(name, known->at[i].title, &best))
            snprintf(out, bytes, "%s", known->at[i].title);
    }
}

void report_titles_pick(struct report_titles *picked, const char *name,
                        const struct report_titles *known, struct passo_faults *faults)
{
    char shown[128];
    char near[256];
    char near_shown[128];
    if (pick_filed(picked, name) || pick_title(picked, name, known, strcmp) ||
        pick_title(picked, name, known, strcasecmp))
        return;
    nearest(name, known, near, sizeof near);
    passo_text_clean(name, shown, sizeof shown);
    passo_text_clean(near, near_shown, sizeof near_shown);
    if (near[0])
        passo_fault(faults,
                    "%s: no passage of that name is filed, and none of that title is in the log; "
                    "did you mean \"%s\"?",
                    shown, near_shown);
    else
        passo_fault(faults,
                    "%s: no passage of that name is filed, and none of that title is in the log; "
                    "passo list shows the names",
                    shown);
}
