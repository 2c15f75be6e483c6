/* Scripts are read whole before the climb, so that a fault in them is told before a note is
 * played. The simulated player never runs out. */
#include "session/marker.h"

#include <ctype.h>
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { SCRIPT_MAX_BYTES = 1 << 17, NOT_A_MARK = 1 };

/* Reads all of the stream; NULL with errno set, or with errno 0 when it is too long. A 0 becomes a
 * character that is no mark, so that its place is told. */
static char *read_all(FILE *stream)
{
    size_t used = 0;
    char *text = passo_xcalloc(SCRIPT_MAX_BYTES + 1, 1);
    errno = 0;
    used = fread(text, 1, SCRIPT_MAX_BYTES, stream);
    if (ferror(stream) || (used == SCRIPT_MAX_BYTES && fgetc(stream) != EOF)) {
        free(text);
        return NULL;
    }
    for (size_t i = 0; i < used; i++)
        text[i] = text[i] ? text[i] : NOT_A_MARK;
    return text;
}

/* Leaves the signs alone and takes blanks and line ends out; false with a fault at another
 * character. */
static bool keep_signs(char *script, const char *path, char *out_fault, size_t fault_bytes)
{
    size_t kept = 0;
    int line = 1;
    int column = 1;
    for (const char *at = script; *at; at++) {
        char sign = (char)tolower((unsigned char)*at);
        if (strchr("cm.vu", sign)) {
            script[kept++] = sign;
        } else if (!strchr(" \t\r\n", *at)) {
            unsigned char wrong = (unsigned char)*at;
            snprintf(out_fault, fault_bytes,
                     "%s, line %d, column %d: %s%c: a mark is c (clean), m (miss), . (unmarked), "
                     "v (void) or u (undo)",
                     path, line, column, wrong < 32 || wrong > 126 ? "character " : "",
                     wrong < 32 || wrong > 126 ? '?' : wrong);
            return false;
        }
        column = *at == '\n' ? 1 : column + 1;
        line += *at == '\n';
    }
    script[kept] = '\0';
    return true;
}

enum passo_error passo_marker_script(struct passo_marker *out_marker, const char *path,
                                     char *out_fault, size_t fault_bytes)
{
    bool from_stdin = strcmp(path, "-") == 0;
    FILE *stream = from_stdin ? stdin : fopen(path, "re");
    const char *name = from_stdin ? "standard input" : path;
    char *script = stream ? read_all(stream) : NULL;
    int fault = errno;
    if (stream && !from_stdin)
        fclose(stream);
    if (!script) {
        snprintf(out_fault, fault_bytes, "the marks in %s cannot be read: %s", name,
                 fault ? strerror(fault) : "more than 128 KiB");
        return PASSO_ERR_FILE;
    }
    if (!keep_signs(script, name, out_fault, fault_bytes)) {
        free(script);
        return PASSO_ERR_SYNTAX;
    }
    *out_marker = (struct passo_marker){.script = script};
    return PASSO_OK;
}

void passo_marker_deinit(struct passo_marker *marker)
{
    free(marker->script);
    *marker = (struct passo_marker){0};
}

enum passo_script_sign passo_marker_peek(const struct passo_marker *marker)
{
    if (!marker->script)
        return PASSO_SIGN_MARK;
    switch (marker->script[marker->at]) {
    case '\0':
        return PASSO_SIGN_END;
    case 'u':
        return PASSO_SIGN_UNDO;
    default:
        return PASSO_SIGN_MARK;
    }
}

enum passo_mark passo_marker_take(struct passo_marker *marker, int32_t mbpm)
{
    if (!marker->script)
        return passo_player_model_play(&marker->model, &marker->random, mbpm);
    switch (marker->script[marker->at++]) {
    case 'c':
        return PASSO_MARK_CLEAN;
    case 'm':
        return PASSO_MARK_MISS;
    case 'v':
        return PASSO_MARK_VOID;
    default:
        return PASSO_MARK_NONE;
    }
}
