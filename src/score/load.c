/* A score from a file of any kind, told by its first bytes. */
#include "score/bytes.h"
#include "score/score_priv.h"

#include <stdlib.h>
#include <string.h>

static const char too_large[] = "this file is larger than 8 MiB; the score of one piece is wanted";

static bool begins(const char *bytes, size_t count, const char *with)
{
    return count >= strlen(with) && memcmp(bytes, with, strlen(with)) == 0;
}

/* XML begins with < behind blanks and the mark of its encoding (UTF-8's, or UTF-16's). */
static bool is_xml(const char *bytes, size_t count)
{
    if (begins(bytes, count, "\xFF\xFE") || begins(bytes, count, "\xFE\xFF"))
        return true;
    size_t at = begins(bytes, count, "\xEF\xBB\xBF") ? 3 : 0;
    while (at < count && memchr(" \t\r\n", bytes[at], 4))
        at++;
    return at < count && bytes[at] == '<';
}

static enum passo_error read_packed(const char *bytes, size_t count,
                                    const struct passo_score_ask *ask,
                                    struct passo_score *out_score, char *out_fault,
                                    size_t fault_bytes)
{
    char *text = NULL;
    size_t length = 0;
    enum passo_error error =
        passo_mxl_unpack((const uint8_t *)bytes, count, &text, &length, out_fault, fault_bytes);
    if (!error)
        error = passo_musicxml_read(text, length, ask, out_score, out_fault, fault_bytes);
    free(text);
    return error;
}

enum passo_error passo_score_load(const char *path, const struct passo_score_ask *ask,
                                  struct passo_score *out_score, char *out_fault,
                                  size_t fault_bytes)
{
    struct score_builder builder;
    const char *reason = NULL;
    size_t count = 0;
    enum passo_error error = PASSO_OK;
    score_begin(&builder, out_score, out_fault, fault_bytes);
    char *bytes = passo_bytes_load(path, PASSO_SCORE_BYTES_MAX, too_large, &count, &reason);
    if (!bytes) {
        score_fault(&builder, PASSO_ERR_FILE, "%s", reason);
        return score_end(&builder);
    }
    if (begins(bytes, count, "MThd"))
        error =
            passo_midi_read((const uint8_t *)bytes, count, ask, out_score, out_fault, fault_bytes);
    else if (begins(bytes, count, "PK"))
        error = read_packed(bytes, count, ask, out_score, out_fault, fault_bytes);
    else if (is_xml(bytes, count))
        error = passo_musicxml_read(bytes, count, ask, out_score, out_fault, fault_bytes);
    else
        error = passo_abc_read(bytes, count, ask, out_score, out_fault, fault_bytes);
    free(bytes);
    return error;
}
