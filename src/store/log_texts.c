/* Texts and their ids, remembered both ways: a row has nine texts and a log few different ones.
 * Two open-addressing tables point into one array. Runs on the main thread. */
#include "store/log_priv.h"

#include <stdlib.h>
#include <string.h>

/* FNV-1a, 64 bits (Fowler, Noll, Vo). */
static uint64_t hash_of_text(const char *text)
{
    uint64_t hash = 14695981039346656037u;
    for (; *text; text++)
        hash = (hash ^ (unsigned char)*text) * 1099511628211u;
    return hash ^ hash >> 32;
}

/* Fibonacci hashing: ids run on, and must not lie in a heap. */
static uint64_t hash_of_id(int64_t id)
{
    uint64_t hash = (uint64_t)id * 11400714819323198485u;
    return hash ^ hash >> 32;
}

/* Where a text or an id stands, or the free place for it. */
static uint32_t *slot_of_text(const struct log_texts *texts, const char *text)
{
    size_t at = hash_of_text(text) & (texts->slots - 1);
    while (texts->by_text[at] && strcmp(texts->entry[texts->by_text[at] - 1].text, text) != 0)
        at = (at + 1) & (texts->slots - 1);
    return &texts->by_text[at];
}

static uint32_t *slot_of_id(const struct log_texts *texts, int64_t id)
{
    size_t at = hash_of_id(id) & (texts->slots - 1);
    while (texts->by_id[at] && texts->entry[texts->by_id[at] - 1].id != id)
        at = (at + 1) & (texts->slots - 1);
    return &texts->by_id[at];
}

/* Keeps the tables at most half full. */
static void make_room(struct log_texts *texts)
{
    if (2 * (texts->entries + 1) <= texts->slots)
        return;
    texts->slots = texts->slots ? 2 * texts->slots : 256;
    texts->entry = passo_xrealloc(texts->entry, texts->slots / 2 * sizeof *texts->entry);
    free(texts->by_text);
    free(texts->by_id);
    texts->by_text = passo_xcalloc(texts->slots, sizeof *texts->by_text);
    texts->by_id = passo_xcalloc(texts->slots, sizeof *texts->by_id);
    for (size_t i = 0; i < texts->entries; i++) {
        *slot_of_text(texts, texts->entry[i].text) = (uint32_t)i + 1;
        *slot_of_id(texts, texts->entry[i].id) = (uint32_t)i + 1;
    }
}

static const char *remember(struct log_texts *texts, int64_t id, const char *text)
{
    make_room(texts);
    size_t bytes = strlen(text) + 1;
    char *copy = passo_xcalloc(bytes, 1);
    memcpy(copy, text, bytes);
    texts->entry[texts->entries++] = (struct log_text){id, copy};
    *slot_of_text(texts, copy) = (uint32_t)texts->entries;
    *slot_of_id(texts, id) = (uint32_t)texts->entries;
    return copy;
}

void log_texts_forget(struct log_texts *texts)
{
    for (size_t i = 0; i < texts->entries; i++)
        free(texts->entry[i].text);
    free(texts->entry);
    free(texts->by_text);
    free(texts->by_id);
    *texts = (struct log_texts){0};
}

static int find(struct passo_log *log, const char *text, int64_t *out_id)
{
    int rc;
    sqlite3_stmt *statement = log_statement(log, LOG_TEXT_FIND, &rc);
    if (!statement)
        return rc;
    *out_id = 0;
    sqlite3_bind_text(statement, 1, text, -1, SQLITE_STATIC);
    rc = sqlite3_step(statement);
    if (rc == SQLITE_ROW)
        *out_id = sqlite3_column_int64(statement, 0);
    sqlite3_reset(statement);
    return rc == SQLITE_ROW || rc == SQLITE_DONE ? SQLITE_OK : rc;
}

int log_text_id(struct passo_log *log, const char *text, int64_t *out_id)
{
    struct log_texts *texts = &log->texts;
    uint32_t at = texts->slots ? *slot_of_text(texts, text) : 0;
    if (at) {
        *out_id = texts->entry[at - 1].id;
        return SQLITE_OK;
    }
    int rc = find(log, text, out_id);
    if (rc == SQLITE_OK && !*out_id) {
        sqlite3_stmt *statement = log_statement(log, LOG_TEXT_ADD, &rc);
        if (!statement)
            return rc;
        sqlite3_bind_text(statement, 1, text, -1, SQLITE_STATIC);
        rc = log_run(statement);
        *out_id = sqlite3_last_insert_rowid(log->db);
    }
    if (rc == SQLITE_OK)
        remember(texts, *out_id, text);
    return rc;
}

int log_text_of(struct passo_log *log, int64_t id, const char **out_text)
{
    struct log_texts *texts = &log->texts;
    int rc;
    uint32_t at = texts->slots ? *slot_of_id(texts, id) : 0;
    if (at) {
        *out_text = texts->entry[at - 1].text;
        return SQLITE_OK;
    }
    *out_text = "";
    sqlite3_stmt *statement = log_statement(log, LOG_TEXT_READ, &rc);
    if (!statement)
        return rc;
    sqlite3_bind_int64(statement, 1, id);
    rc = sqlite3_step(statement);
    if (rc == SQLITE_ROW) {
        const char *text = (const char *)sqlite3_column_text(statement, 0);
        rc = text ? SQLITE_OK : SQLITE_NOMEM;
        if (text)
            *out_text = remember(texts, id, text);
    } else if (rc == SQLITE_DONE) {
        rc = SQLITE_CORRUPT;
    }
    sqlite3_reset(statement);
    return rc;
}
