/* The lines of a file, read with inih. inih cuts a line that is longer than its buffer (200 bytes
 * in Debian's build) and a section's name at 49, takes an indented line for the continuation of
 * the one before, tells only the first bad line, and gives the handler no line number. So it is
 * fed through its reader function, which counts the lines, takes the indentation off, reads what
 * would be cut itself, and turns what no section is into a fault. Faults of the whole file come
 * before any line is read. */
#include "text/lines.h"
#include "text/notation.h"
#include "text/quote.h"
#include "text/scan.h"

#include <ini.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* A file on its way through inih. */
struct page {
    const char *path; /* safe to show */
    const char *at;   /* the next line; NULL at the end */
    int line;         /* number of the line that inih has */
    bool awaited;     /* that line must reach the handler */
    bool full;        /* there were too many; the rest is not read */
    char *key;        /* of a line with quotes, for which inih has a stand-in; else NULL */
    char *value;      /* likewise */
    int fault_line;   /* the last line that had a fault */
    int section_line; /* where the section in force began */
    int broken_line;  /* the last section line that is none */
    const struct page_kind *kind;
    void *user;
    struct passo_faults *faults;
};

static void page_fault(struct page *page, int line, const char *what)
{
    page->fault_line = line;
    passo_fault(page->faults, "%s, line %d: %s", page->path, line, what);
}

/* Whether the file is text at all: UTF-8 without a zero byte. */
static bool is_text(struct page *page, const char *bytes, size_t length)
{
    int line = 1;
    for (const char *at = bytes; at < bytes + length;) {
        uint32_t code = 0;
        size_t step = scan_utf8(at, &code);
        if (!step) {
            page_fault(page, line,
                       *at ? "this is not UTF-8; save the file as UTF-8 text"
                           : "a zero byte stands here; a file is plain text");
            return false;
        }
        line += *at == '\n';
        at += step;
    }
    return true;
}

static bool is_blank(char sign)
{
    return sign == ' ' || sign == '\t' || sign == '\r' || sign == '\f' || sign == '\v';
}

/* The next line without the blanks around it. False at the end. */
static bool next_line(struct page *page, const char **out_line, size_t *out_length)
{
    if (!page->at)
        return false;
    const char *from = page->at;
    const char *to = from + strcspn(from, "\n");
    page->at = *to ? to + 1 : NULL;
    page->line++;
    while (from < to && is_blank(*from))
        from++;
    while (to > from && is_blank(to[-1]))
        to--;
    *out_line = from;
    *out_length = (size_t)(to - from);
    return true;
}

/* The line as its taker gets it. */
static struct page_line line_of(const struct page *page, const char *section, const char *key,
                                const char *value)
{
    return (struct page_line){.section = section,
                              .key = key,
                              .value = value,
                              .path = page->path,
                              .line = page->line,
                              .section_line = page->section_line};
}

static void begin_section(struct page *page, const char *line, const char *end)
{
    char section[SECTION_BYTES_MAX + 1];
    snprintf(section, sizeof section, "%.*s", (int)(end - line - 1), line + 1);
    char *trimmed = scan_copy(section);
    const struct page_line begun = line_of(page, trimmed, "", "");
    page->kind->begin(page->user, &begun);
    free(trimmed);
}

/* What stands behind the section's name is cut off. */
static bool begins_section(struct page *page, const char *line, size_t *length)
{
    char what[256];
    const char *end = memchr(line, ']', *length);
    page->section_line = page->line;
    if (end && end - line <= SECTION_BYTES_MAX + 1) {
        if (page->kind->begin)
            begin_section(page, line, end);
        *length = (size_t)(end - line) + 1;
        return true;
    }
    snprintf(what, sizeof what, "a section is written %s, in at most 39 bytes",
             page->kind->sections);
    page_fault(page, page->line, what);
    /* What follows belongs to no section; the fault has been told. */
    page->broken_line = page->line;
    return false;
}

static void check_awaited(struct page *page)
{
    if (page->awaited)
        page_fault(page, page->line, "there is no = here; a line is written key = value");
    page->awaited = false;
}

static void forget_quoted(struct page *page)
{
    free(page->key);
    free(page->value);
    page->key = NULL;
    page->value = NULL;
}

/* Whether the line is none for inih: it has quotes, or is longer than `room`. Key and value then
 * are on the page. */
static bool read_here(struct page *page, const char *line, size_t length, size_t room)
{
    return quote_read(line, length, &page->key, &page->value) ||
           (length > room && quote_read_long(line, length, &page->key, &page->value));
}

/* inih's reader. The line end is written back: inih judges by it whether it has a whole line. */
static char *hand_out(char *out, int bytes, void *stream)
{
    struct page *page = stream;
    const char *line = NULL;
    size_t length = 0;
    check_awaited(page);
    if (lines_faults_full(page->faults) || page->full || !next_line(page, &line, &length))
        return NULL;
    const bool note = length && (*line == '#' || *line == ';');
    const bool section = length && *line == '[';
    bool kept = length && !note;
    forget_quoted(page);
    page->awaited = kept && !section;
    if (page->awaited && read_here(page, line, length, (size_t)bytes - 2)) {
        line = "quoted =";
        length = strlen(line);
    } else if (section) {
        kept = begins_section(page, line, &length);
    } else if (length > (size_t)bytes - 2) {
        kept = false; /* it is awaited, and does not come */
    }
    snprintf(out, (size_t)bytes, "%.*s\n", kept ? (int)length : 0, line);
    return out;
}

/* inih's handler. */
static int take(void *user, const char *section, const char *key, const char *value)
{
    struct page *page = user;
    page->awaited = false;
    if (page->section_line && page->section_line == page->broken_line)
        return 1;
    char *name = scan_copy(section);
    const struct page_line line =
        line_of(page, name, page->key ? page->key : key, page->value ? page->value : value);
    page->full = !page->kind->take(page->user, &line);
    free(name);
    return 1;
}

void page_read(const char *path, const struct page_kind *kind, void *user,
               struct passo_faults *faults)
{
    char shown[PASSO_PATH_BYTES];
    size_t length = 0;
    char *bytes = page_load(path, &length, faults);
    if (!bytes)
        return;
    const char mark[] = "\xEF\xBB\xBF";
    bool marked = !strncmp(bytes, mark, sizeof mark - 1);
    struct page page = {.path = passo_text_clean(path, shown, sizeof shown),
                        .at = bytes + (marked ? sizeof mark - 1 : 0),
                        .kind = kind,
                        .user = user,
                        .faults = faults};
    if (is_text(&page, bytes, length)) {
        int bad_line = ini_parse_stream(hand_out, &page, take, &page);
        /* What the reader let through and inih still could not read. */
        if (bad_line > 0 && page.fault_line == 0)
            page_fault(&page, bad_line, "this line cannot be read; a line is written key = value");
        else if (bad_line < 0)
            page_fault(&page, page.line, "memory is out");
    }
    forget_quoted(&page);
    free(bytes);
}
