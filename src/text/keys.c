/* Keys as musicians write them: a letter, what alters it, and major or minor. */
#include "text/routine.h"
#include "text/scan.h"
#include "text/spelling.h"

#include <stdio.h>
#include <string.h>

/* Skips "major", "min", "m" or nothing. A lone M is major's, a lone m minor's. */
static enum passo_mode scan_mode(const char **at)
{
    const char *from = *at;
    spelling_skip_gap(&from);
    bool minor = scan_word(&from, "minor") || scan_word(&from, "min");
    if (!minor && !scan_word(&from, "major") && !scan_word(&from, "maj")) {
        const char *letter = from;
        if (!scan_word(&from, "m"))
            return PASSO_MODE_MAJOR;
        minor = letter[strspn(letter, " \t")] == 'm';
    }
    *at = from;
    return minor ? PASSO_MODE_MINOR : PASSO_MODE_MAJOR;
}

/* Reads a key up to a comma or the end. */
static bool scan_key(const char **at, struct passo_key *out_key)
{
    const char *from = *at;
    int tonic = 0;
    if (!spelling_scan(&from, &tonic))
        return false;
    enum passo_mode mode = scan_mode(&from);
    if (tonic < -PASSO_TONIC_MAX || tonic > PASSO_TONIC_MAX)
        return false;
    if (!scan_end(&from) && *from != ',')
        return false;
    *out_key = (struct passo_key){.tonic = (int8_t)tonic, .mode = (uint8_t)mode};
    *at = from;
    return true;
}

enum passo_error passo_key_read(const char *text, struct passo_key *out_key)
{
    struct passo_key key;
    const char *at = text;
    if (!scan_key(&at, &key) || *at)
        return PASSO_ERR_SYNTAX;
    *out_key = key;
    return PASSO_OK;
}

size_t passo_keys_read(const char *text, struct passo_key *out_key, size_t most, bool *out_whole)
{
    struct passo_key key;
    const char *at = text;
    size_t count = 0;
    *out_whole = true;
    for (;;) {
        while (scan_char(&at, ','))
            continue;
        if (scan_end(&at))
            return count;
        if (count == most || !scan_key(&at, &key)) {
            *out_whole = false;
            return count;
        }
        out_key[count++] = key;
    }
}

const char *passo_key_write(struct passo_key key, char *out, size_t bytes)
{
    char tonic[SPELLING_BYTES];
    PASSO_BUG_ON(key.tonic < -PASSO_TONIC_MAX || key.tonic > PASSO_TONIC_MAX ||
                 key.mode >= PASSO_MODE_COUNT);
    snprintf(out, bytes, "%s %s", spelling_write(key.tonic, tonic, sizeof tonic),
             key.mode == PASSO_MODE_MINOR ? "minor" : "major");
    return out;
}
