/* What a passage and a block have in common in words: tags, set apart by commas, and single words.
 * Case does not matter. Pure; any thread. */
#include "engine/today_priv.h"

#include <string.h>
#include <strings.h>

/* Shorter ones ("in", "of", "on") say nothing. */
#define WORD_LEAST_BYTES 3

struct part {
    const char *text;
    size_t bytes;
};

/* The next tag; false: there is no more. *text goes on behind it. */
static bool next_tag(const char **text, struct part *out_part)
{
    while (**text) {
        const char *from = *text + strspn(*text, " \t");
        size_t bytes = strcspn(from, ",");
        *text = from + bytes + (from[bytes] == ',');
        while (bytes > 0 && (from[bytes - 1] == ' ' || from[bytes - 1] == '\t'))
            bytes--;
        *out_part = (struct part){from, bytes};
        if (bytes > 0)
            return true;
    }
    return false;
}

static bool is_letter(char sign)
{
    const unsigned char byte = (unsigned char)sign;
    return (byte >= 'a' && byte <= 'z') || (byte >= 'A' && byte <= 'Z') ||
           (byte >= '0' && byte <= '9') || byte >= 0x80; /* of a letter in UTF-8 */
}

static bool next_word(const char **text, struct part *out_part)
{
    while (**text) {
        while (**text && !is_letter(**text))
            (*text)++;
        const char *from = *text;
        while (is_letter(**text))
            (*text)++;
        *out_part = (struct part){from, (size_t)(*text - from)};
        if (out_part->bytes >= WORD_LEAST_BYTES)
            return true;
    }
    return false;
}

static bool same(struct part a, struct part b)
{
    return a.bytes == b.bytes && strncasecmp(a.text, b.text, a.bytes) == 0;
}

static bool has_word(const char *text, struct part word)
{
    struct part own;
    while (next_word(&text, &own)) {
        if (same(own, word))
            return true;
    }
    return false;
}

static bool has_tag(const char *text, struct part tag)
{
    struct part own;
    while (next_tag(&text, &own)) {
        if (same(own, tag))
            return true;
    }
    return false;
}

const char *today_shared_tag(const char *tags, const struct passo_block *block, size_t *out_bytes)
{
    struct part tag;
    while (next_tag(&tags, &tag)) {
        *out_bytes = tag.bytes;
        if (has_tag(block->tags, tag) || has_word(block->name, tag) ||
            same((struct part){block->name, strlen(block->name)}, tag))
            return tag.text;
    }
    return NULL;
}

static size_t words_shared(const char *text, const struct passo_block *block)
{
    size_t shared = 0;
    struct part word;
    while (next_word(&text, &word)) {
        if (has_word(block->tags, word) || has_word(block->name, word))
            shared++;
    }
    return shared;
}

size_t today_shared_words(const struct passo_today_passage *passage,
                          const struct passo_block *block)
{
    return words_shared(passage->tags, block) + words_shared(passage->name, block);
}
