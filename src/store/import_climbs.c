/* Which climb a row belongs to. A file names the same few passages and sessions over and over, and
 * most often the one of the row before: two open-addressing tables keep them, with their places in
 * the log. Runs on the main thread. */
#include "store/import_priv.h"

#include <stdlib.h>
#include <string.h>

struct import_passage {
    int64_t id;
    const char *player; /* the others stand behind it in one block */
    const char *title;
    const char *piece;
};

enum { SLOTS = 64 };

/* FNV-1a, 64 bits (Fowler, Noll, Vo), with the 0 at the end. */
static uint64_t hash_text(uint64_t hash, const char *text)
{
    do {
        hash = (hash ^ (unsigned char)*text) * UINT64_C(0x100000001b3);
    } while (*text++);
    return hash;
}

static size_t slot_of(uint64_t hash, size_t slots)
{
    return (size_t)(hash ^ hash >> 32) & (slots - 1);
}

static uint64_t hash_passage(const char *player, const char *title, const char *piece)
{
    return hash_text(hash_text(hash_text(UINT64_C(0xcbf29ce484222325), player), title), piece);
}

static uint64_t hash_climb(const struct import_passage *passage, const char *session)
{
    return hash_text((uint64_t)passage->id * UINT64_C(0x9e3779b97f4a7c15), session);
}

static bool is_passage(const struct import_passage *passage, const struct passo_row *row)
{
    return !strcmp(passage->title, row->passage) && !strcmp(passage->piece, row->piece) &&
           !strcmp(passage->player, row->player);
}

static struct import_passage **find_passage(struct import_passage **table, size_t slots,
                                            const struct passo_row *row)
{
    size_t at = slot_of(hash_passage(row->player, row->passage, row->piece), slots);
    while (table[at] && !is_passage(table[at], row))
        at = (at + 1) & (slots - 1);
    return &table[at];
}

static void grow_passages(struct import_climbs *climbs)
{
    if (2 * (climbs->passages + 1) <= climbs->passage_slots)
        return;
    size_t slots = climbs->passage_slots ? 2 * climbs->passage_slots : SLOTS;
    struct import_passage **table = passo_xcalloc(slots, sizeof(struct import_passage *));
    for (size_t i = 0; i < climbs->passage_slots; i++) {
        struct import_passage *passage = climbs->passage[i];
        if (!passage)
            continue;
        size_t at = slot_of(hash_passage(passage->player, passage->title, passage->piece), slots);
        while (table[at])
            at = (at + 1) & (slots - 1);
        table[at] = passage;
    }
    free(climbs->passage);
    climbs->passage = table;
    climbs->passage_slots = slots;
}

static int passage_of(struct import_climbs *climbs, struct passo_log *log,
                      const struct passo_row *row, const struct import_passage **out_passage)
{
    grow_passages(climbs);
    struct import_passage **slot = find_passage(climbs->passage, climbs->passage_slots, row);
    if (!*slot) {
        int64_t id;
        int rc = log_passage(log, row->player, row->passage, row->piece, &id);
        if (rc != SQLITE_OK)
            return rc;
        size_t player_bytes = strlen(row->player) + 1;
        size_t title_bytes = strlen(row->passage) + 1;
        size_t piece_bytes = strlen(row->piece) + 1;
        struct import_passage *passage =
            passo_xcalloc(1, sizeof *passage + player_bytes + title_bytes + piece_bytes);
        char *texts = (char *)(passage + 1);
        passage->id = id;
        passage->player = memcpy(texts, row->player, player_bytes);
        passage->title = memcpy(texts + player_bytes, row->passage, title_bytes);
        passage->piece = memcpy(texts + player_bytes + title_bytes, row->piece, piece_bytes);
        climbs->passages++;
        *slot = passage;
    }
    *out_passage = *slot;
    return SQLITE_OK;
}

static bool is_climb(const struct import_climb *climb, const struct import_passage *passage,
                     const char *session)
{
    return climb->passage == passage && !strcmp(climb->session, session);
}

static void grow_climbs(struct import_climbs *climbs)
{
    if (2 * (climbs->climbs + 1) <= climbs->climb_slots)
        return;
    size_t slots = climbs->climb_slots ? 2 * climbs->climb_slots : SLOTS;
    struct import_climb **table = passo_xcalloc(slots, sizeof(struct import_climb *));
    for (size_t i = 0; i < climbs->climb_slots; i++) {
        struct import_climb *climb = climbs->climb[i];
        if (!climb)
            continue;
        size_t at = slot_of(hash_climb(climb->passage, climb->session), slots);
        while (table[at])
            at = (at + 1) & (slots - 1);
        table[at] = climb;
    }
    free(climbs->climb);
    climbs->climb = table;
    climbs->climb_slots = slots;
}

/* In the log, where it is added if need be. */
static int meet_climb(struct passo_log *log, const struct import_passage *passage,
                      const struct passo_row *row, struct import_climb **out_climb)
{
    struct log_climb known;
    int rc = log_climb_find(log, passage->id, row->session, &known);
    bool fresh = known.id == 0;
    if (rc == SQLITE_OK && fresh)
        rc = log_climb_add(log, passage->id, row->session, row->time_ns, row->offset_s, "", false,
                           &known);
    if (rc != SQLITE_OK)
        return rc;
    size_t bytes = strlen(row->session) + 1;
    struct import_climb *climb = passo_xcalloc(1, sizeof *climb + bytes);
    climb->log = known;
    climb->passage = passage;
    climb->fresh = fresh;
    climb->session = memcpy(climb + 1, row->session, bytes);
    *out_climb = climb;
    return SQLITE_OK;
}

int import_climb_of(struct import_climbs *climbs, struct passo_log *log,
                    const struct passo_row *row, struct import_climb **out_climb)
{
    const struct import_passage *passage;
    struct import_climb *last = climbs->last;
    if (last && !strcmp(last->session, row->session) && is_passage(last->passage, row)) {
        *out_climb = last;
        return SQLITE_OK;
    }
    int rc = passage_of(climbs, log, row, &passage);
    if (rc != SQLITE_OK)
        return rc;
    grow_climbs(climbs);
    size_t at = slot_of(hash_climb(passage, row->session), climbs->climb_slots);
    while (climbs->climb[at] && !is_climb(climbs->climb[at], passage, row->session))
        at = (at + 1) & (climbs->climb_slots - 1);
    if (!climbs->climb[at]) {
        rc = meet_climb(log, passage, row, &climbs->climb[at]);
        climbs->climbs += rc == SQLITE_OK;
    }
    *out_climb = climbs->last = climbs->climb[at];
    return rc;
}

int import_climbs_settle(struct import_climbs *climbs, struct passo_log *log)
{
    int rc = SQLITE_OK;
    for (size_t i = 0; i < climbs->climb_slots && rc == SQLITE_OK; i++) {
        if (climbs->climb[i])
            rc = log_climb_settle(log, &climbs->climb[i]->log);
    }
    return rc;
}

void import_climbs_deinit(struct import_climbs *climbs)
{
    for (size_t i = 0; i < climbs->passage_slots; i++)
        free(climbs->passage[i]);
    for (size_t i = 0; i < climbs->climb_slots; i++)
        free(climbs->climb[i]);
    free(climbs->passage);
    free(climbs->climb);
    *climbs = (struct import_climbs){0};
}
