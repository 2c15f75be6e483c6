/* A climb that was cut short, as the steps from which its ladder is replayed: passes and hands in
 * the order in which they came. Runs on the main thread. */
#include "store/log_priv.h"

#include <stdlib.h>
#include <string.h>

/* Steps are added to `cut`; hands come from their own statement, along with the passes. */
struct cutting {
    struct passo_log *log;
    struct passo_log_cut *cut;
    sqlite3_stmt *hands;
    int rc;     /* of the hands: SQLITE_ROW: it stands on one */
    bool whole; /* every pass was seen live */
};

static struct passo_log_step *add_step(struct passo_log_cut *cut)
{
    if ((cut->steps & (cut->steps - 1)) == 0)
        cut->step =
            passo_xrealloc(cut->step, (cut->steps ? 2 * cut->steps : 1) * sizeof *cut->step);
    struct passo_log_step *step = &cut->step[cut->steps++];
    *step = (struct passo_log_step){.row = passo_row_empty()};
    return step;
}

/* "key", "assumed" and "changed" as static texts, which outlive the log. */
static const char *static_text(const char *marked_by)
{
    static const char *const known[] = {"key", "assumed", "changed"};
    for (size_t i = 0; i < sizeof known / sizeof known[0]; i++) {
        if (!strcmp(marked_by, known[i]))
            return known[i];
    }
    return "";
}

/* The hands that came before a pass of this number. */
static int add_hands(struct cutting *cutting, uint32_t before)
{
    while (cutting->rc == SQLITE_ROW) {
        int rc = SQLITE_OK;
        sqlite3_stmt *hands = cutting->hands;
        if (sqlite3_column_int64(hands, 0) >= before)
            return SQLITE_OK;
        struct passo_ladder_event event = {
            .type =
                (enum passo_event_type)log_number(hands, 1, 0, PASSO_LADDER_EVENT_COUNT - 1, &rc),
            .stage = (uint8_t)log_number(hands, 2, 0, UINT8_MAX, &rc),
            .rung = (uint16_t)log_number(hands, 3, 0, UINT16_MAX, &rc),
            .turn = (uint8_t)log_number(hands, 4, 0, UINT8_MAX, &rc),
            .elapsed_ms = sqlite3_column_int64(hands, 5),
            .played_ms = sqlite3_column_int64(hands, 6)};
        if (rc != SQLITE_OK)
            return rc;
        add_step(cutting->cut)->event = event;
        cutting->rc = sqlite3_step(hands);
    }
    return cutting->rc == SQLITE_DONE ? SQLITE_OK : cutting->rc;
}

static int add_pass(void *user, const struct log_pass *pass)
{
    struct cutting *cutting = user;
    int rc = add_hands(cutting, pass->row.pass);
    struct passo_log_step *step = add_step(cutting->cut);
    const struct passo_row empty = step->row;
    step->event = pass->event;
    step->closed = pass->closed;
    step->row = pass->row;
    step->row.player = empty.player;
    step->row.session = empty.session;
    step->row.passage = empty.passage;
    step->row.piece = empty.piece;
    step->row.loop = empty.loop;
    step->row.bars = empty.bars;
    step->row.variant = empty.variant;
    step->row.beat_unit = empty.beat_unit;
    step->row.marked_by = static_text(pass->row.marked_by);
    cutting->whole = cutting->whole && pass->live;
    return rc;
}

static int read_steps(struct cutting *cutting)
{
    int rc;
    cutting->hands = log_statement(cutting->log, LOG_HANDS_READ, &rc);
    if (!cutting->hands)
        return rc;
    sqlite3_bind_int64(cutting->hands, 1, cutting->cut->climb);
    cutting->rc = sqlite3_step(cutting->hands);
    rc = log_passes_read(cutting->log, cutting->cut->climb, 0, UINT32_MAX, add_pass, cutting);
    bool has_passes = cutting->cut->steps > 0;
    if (rc == SQLITE_OK)
        rc = add_hands(cutting, UINT32_MAX);
    sqlite3_reset(cutting->hands);
    if (!has_passes || !cutting->whole)
        cutting->cut->climb = 0;
    return rc;
}

/* The latest climb of a passage; 0: none. */
static int latest_climb(struct passo_log *log, int64_t passage, int64_t *out_climb)
{
    int rc;
    sqlite3_stmt *statement = log_statement(log, LOG_CLIMB_LATEST, &rc);
    if (!statement)
        return rc;
    sqlite3_bind_int64(statement, 1, passage);
    rc = sqlite3_step(statement);
    *out_climb = rc == SQLITE_ROW ? sqlite3_column_int64(statement, 0) : 0;
    sqlite3_reset(statement);
    return rc == SQLITE_ROW || rc == SQLITE_DONE ? SQLITE_OK : rc;
}

static char *copy_of(const char *text)
{
    size_t bytes = strlen(text) + 1;
    char *copy = passo_xcalloc(bytes, 1);
    memcpy(copy, text, bytes);
    return copy;
}

static int read_cut(struct passo_log *log, int64_t climb, struct passo_log_cut *cut)
{
    struct cutting cutting = {.log = log, .cut = cut, .whole = true};
    struct log_climb_facts facts;
    struct passo_row began;
    int rc = log_climb_read(log, climb, &facts);
    /* A longer name is none that this program gave. */
    if (rc == SQLITE_OK && facts.seen_live && !facts.ended &&
        strlen(facts.session) < sizeof cut->session) {
        cut->climb = climb;
        memcpy(cut->session, facts.session, strlen(facts.session) + 1);
        cut->setup = copy_of(facts.setup);
        cut->began_ns = facts.began_ns;
        passo_row_time(&began, facts.began_ns, facts.offset_s);
        cut->day = began.day;
        rc = read_steps(&cutting);
    }
    log_climb_facts_free(&facts);
    return rc;
}

enum passo_error passo_log_cut_read(struct passo_log *log, const char *player, const char *passage,
                                    const char *piece, struct passo_log_cut *out_cut,
                                    char *out_fault, size_t fault_bytes)
{
    const struct passo_log_wish wish = {.player = player, .passage = passage, .piece = piece};
    struct log_passages passages = {0};
    int64_t climb = 0;
    *out_cut = (struct passo_log_cut){0};
    enum passo_error error = log_begin_read(log, out_fault, fault_bytes);
    if (error != PASSO_OK)
        return error;
    int rc = log_passages_read(log, &wish, &passages);
    if (rc == SQLITE_OK && passages.count)
        rc = latest_climb(log, passages.at[0].id, &climb);
    if (rc == SQLITE_OK && climb)
        rc = read_cut(log, climb, out_cut);
    log_passages_free(&passages);
    if (rc != SQLITE_OK || !out_cut->climb)
        passo_log_cut_deinit(out_cut);
    return log_end_read(log, rc, out_fault, fault_bytes);
}

void passo_log_cut_deinit(struct passo_log_cut *cut)
{
    free(cut->setup);
    free(cut->step);
    *cut = (struct passo_log_cut){0};
}
