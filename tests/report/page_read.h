/* A reader of our own pages for the tests: elements, their attributes and how they are nested. It
 * knows HTML as far as the pages use it and is strict where a browser forgives. */
#ifndef PASSO_TESTS_REPORT_PAGE_READ_H
#define PASSO_TESTS_REPORT_PAGE_READ_H

#include <ctype.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct tag {
    const char *at;  /* the '<' */
    const char *end; /* behind the '>' */
    char name[32];
    bool closes; /* </x> */
    bool alone;  /* <x/>, or an element that has no content */
};

/* The next tag from `at`; false at the end. */
static inline bool read_tag(const char *at, struct tag *out_tag)
{
    static const char *const empty[] = {"!DOCTYPE", "meta", "link", "br", NULL};
    const char *open = strchr(at, '<');
    size_t length = 0;
    char quote = '\0';
    if (!open)
        return false;
    *out_tag = (struct tag){.at = open, .closes = open[1] == '/'};
    const char *name = open + 1 + out_tag->closes;
    while (isalnum((unsigned char)name[length]) || name[length] == '!')
        length++;
    snprintf(out_tag->name, sizeof out_tag->name, "%.*s", (int)length, name);
    const char *end = name + length;
    for (; *end && (quote || *end != '>'); end++) {
        if (quote ? *end == quote : *end == '"' || *end == '\'')
            quote = quote ? '\0' : *end;
    }
    out_tag->end = *end ? end + 1 : end;
    out_tag->alone = end[-1] == '/';
    for (size_t i = 0; empty[i]; i++)
        out_tag->alone |= !strcmp(out_tag->name, empty[i]);
    return true;
}

/* The value of an attribute of a tag, in out; NULL if it has none. */
static inline const char *read_attribute(const struct tag *tag, const char *name, char *out,
                                         size_t bytes)
{
    char key[64];
    snprintf(key, sizeof key, " %s=\"", name);
    const char *at = strstr(tag->at, key);
    if (!at || at >= tag->end)
        return NULL;
    at += strlen(key);
    snprintf(out, bytes, "%.*s", (int)strcspn(at, "\""), at);
    return out;
}

/* The tree as text: names in order, ends as ".". Free it. NULL, with *out_fault the place, if
 * elements are not closed in order. */
static inline char *read_tree(const char *page, const char **out_fault)
{
    char open[64][32];
    size_t depth = 0;
    char *tree = NULL;
    size_t bytes = 0;
    FILE *to = open_memstream(&tree, &bytes);
    struct tag tag = {.end = page};
    *out_fault = NULL;
    while (!*out_fault && read_tag(tag.end, &tag)) {
        if (!tag.name[0] || depth == 63 ||
            (tag.closes && (!depth || strcmp(open[--depth], tag.name) != 0)))
            *out_fault = tag.at;
        fprintf(to, "%s ", tag.closes ? "." : tag.name);
        if (!tag.closes && !tag.alone)
            memcpy(open[depth++], tag.name, sizeof open[0]);
    }
    fclose(to);
    if (depth && !*out_fault)
        *out_fault = page;
    return tree;
}

static inline size_t count_of(const char *page, const char *text)
{
    size_t count = 0;
    for (const char *at = strstr(page, text); at; at = strstr(at + 1, text))
        count++;
    return count;
}

#endif
