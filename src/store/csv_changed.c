/* A table from (player, session, passage, piece, pass) to the line of the last row marked
 * `changed`. Such rows are few (one an undo), so their texts are kept whole and compared exactly.
 * Runs on the main thread. */
#include "store/csv_changed.h"

#include <stdlib.h>
#include <string.h>

struct csv_changed_pass {
    char *player; /* NULL: a free slot; the others stand behind it in one block */
    const char *session;
    const char *passage;
    const char *piece;
    uint32_t pass;
    uint64_t hash;
    uint64_t line;
};

/* FNV-1a, 64 bits, with the 0 at the end. */
static uint64_t hash_text(uint64_t hash, const char *text)
{
    do {
        hash = (hash ^ (unsigned char)*text) * UINT64_C(0x100000001b3);
    } while (*text++);
    return hash;
}

static uint64_t hash_row(const struct passo_row *row)
{
    uint64_t hash = hash_text(UINT64_C(0xcbf29ce484222325), row->player);
    hash = hash_text(hash_text(hash_text(hash, row->session), row->passage), row->piece);
    return (hash ^ row->pass) * UINT64_C(0x9e3779b97f4a7c15);
}

static bool is_of(const struct csv_changed_pass *pass, uint64_t hash, const struct passo_row *row)
{
    return pass->hash == hash && pass->pass == row->pass && !strcmp(pass->player, row->player) &&
           !strcmp(pass->session, row->session) && !strcmp(pass->passage, row->passage) &&
           !strcmp(pass->piece, row->piece);
}

/* The slot of a row, or the free one where it belongs. */
static struct csv_changed_pass *find(const struct csv_changed *changed, const struct passo_row *row,
                                     uint64_t hash)
{
    size_t at = (size_t)(hash >> 32) & (changed->slots - 1);
    while (changed->slot[at].player && !is_of(&changed->slot[at], hash, row))
        at = (at + 1) & (changed->slots - 1);
    return &changed->slot[at];
}

static void grow(struct csv_changed *changed)
{
    struct csv_changed wider = {.slots = changed->slots ? 2 * changed->slots : 64,
                                .used = changed->used};
    wider.slot = passo_xcalloc(wider.slots, sizeof *wider.slot);
    for (size_t i = 0; i < changed->slots; i++) {
        const struct csv_changed_pass *pass = &changed->slot[i];
        if (!pass->player)
            continue;
        size_t at = (size_t)(pass->hash >> 32) & (wider.slots - 1);
        while (wider.slot[at].player)
            at = (at + 1) & (wider.slots - 1);
        wider.slot[at] = *pass;
    }
    free(changed->slot);
    *changed = wider;
}

void csv_changed_deinit(struct csv_changed *changed)
{
    for (size_t i = 0; i < changed->slots; i++)
        free(changed->slot[i].player);
    free(changed->slot);
    *changed = (struct csv_changed){0};
}

void csv_changed_add(struct csv_changed *changed, const struct passo_row *row)
{
    uint64_t hash = hash_row(row);
    if (2 * changed->used >= changed->slots)
        grow(changed);
    struct csv_changed_pass *pass = find(changed, row, hash);
    if (!pass->player) {
        size_t player = strlen(row->player) + 1;
        size_t session = strlen(row->session) + 1;
        size_t passage = strlen(row->passage) + 1;
        size_t piece = strlen(row->piece) + 1;
        pass->player = passo_xcalloc(player + session + passage + piece, 1);
        pass->session = memcpy(pass->player + player, row->session, session);
        pass->passage = memcpy(pass->player + player + session, row->passage, passage);
        pass->piece = memcpy(pass->player + player + session + passage, row->piece, piece);
        memcpy(pass->player, row->player, player);
        pass->pass = row->pass;
        pass->hash = hash;
        changed->used++;
    }
    pass->line = row->line;
}

bool csv_changed_replaces(const struct csv_changed *changed, const struct passo_row *row)
{
    if (!changed->used)
        return false;
    const struct csv_changed_pass *pass = find(changed, row, hash_row(row));
    return pass->player && row->line < pass->line;
}
