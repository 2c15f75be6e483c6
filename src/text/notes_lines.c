/* Notes over several lines. They are joined when they are read, so that everything behind knows one
 * line; where each of them began stays known for the faults. */
#include "text/notes_lines.h"
#include "text/lines.h"
#include "text/scan.h"
#include "text/settings.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

bool notes_lines_join(struct passo_line *before, const struct passo_line *line)
{
    if (setting_line_is_named(line) || setting_line_is_named(before) ||
        setting_id_of(line->key) != SETTING_notes || strcmp(before->section, line->section) != 0 ||
        before->parts == LINES_MAX)
        return false;
    const size_t length = strlen(before->value);
    before->value = passo_xrealloc(before->value, length + strlen(line->value) + 2);
    before->value[length] = ' ';
    strcpy(before->value + length + 1, line->value);
    before->part = passo_xrealloc(before->part, (before->parts + 1) * sizeof *before->part);
    before->part[before->parts++] =
        (struct passo_line_part){.at = length + 1, .origin = scan_copy(line->origin)};
    return true;
}

/* --- faults --- */

/* Part 0 is the line itself, part i the i-th that was joined to it. */
static size_t part_at(const struct passo_line *line, size_t part)
{
    return part ? line->part[part - 1].at : 0;
}

static void fault_part(struct passo_faults *faults, const struct passo_line *line, size_t part,
                       const char *fault)
{
    struct passo_line own = *line;
    const size_t from = part_at(line, part);
    const size_t to = part < line->parts ? line->part[part].at - 1 : strlen(line->value);
    own.value = passo_xcalloc(to - from + 1, 1);
    memcpy(own.value, line->value + from, to - from);
    if (part)
        own.origin = line->part[part - 1].origin;
    lines_fault(faults, &own, fault);
    free(own.value);
}

/* The characters before this byte. */
static size_t columns_before(const char *text, size_t byte)
{
    size_t columns = 0;
    for (size_t i = 0; i < byte; i++)
        columns += (text[i] & 0xC0) != 0x80;
    return columns;
}

void notes_lines_fault(struct passo_faults *faults, const struct passo_line *line,
                       const char *fault)
{
    static const char word[] = "column ";
    char own[512];
    char *behind = NULL;
    const char *place = strstr(fault, word);
    size_t part = line->parts;
    if (!place || !line->parts) {
        lines_fault(faults, line, fault);
        return;
    }
    const size_t column = strtoul(place + strlen(word), &behind, 10);
    while (part && columns_before(line->value, part_at(line, part)) >= column)
        part--;
    snprintf(own, sizeof own, "%.*scolumn %zu%s", (int)(place - fault), fault,
             column - columns_before(line->value, part_at(line, part)), behind);
    fault_part(faults, line, part, own);
}

/* Whether the bar begins in the notes before this byte. */
static bool begins_before(const struct passo_line *line, const struct passo_score_ask *ask,
                          int32_t number, size_t byte)
{
    char fault[512];
    struct passo_score score;
    const bool good =
        passo_abc_read(line->value, byte, ask, &score, fault, sizeof fault) == PASSO_OK;
    const bool begins = good && score.bars && score.bar[score.bars - 1].number >= number;
    passo_score_deinit(&score);
    return begins;
}

void notes_lines_fault_bar(struct passo_faults *faults, const struct passo_line *line,
                           const struct passo_score_ask *ask, int32_t number, const char *fault)
{
    size_t low = 0;
    size_t high = line->parts;
    while (low < high) {
        const size_t middle = low + (high - low) / 2;
        if (begins_before(line, ask, number, part_at(line, middle + 1)))
            high = middle;
        else
            low = middle + 1;
    }
    fault_part(faults, line, low, fault);
}

/* --- writing --- */

/* What closes a thing of ABC in which no line ends; 0: it opens none. */
static char closes(const char *at)
{
    switch (*at) {
    case '"':
    case '!':
    case '+':
        return *at;
    case '{':
        return '}';
    case '[':
        return at[1] == '|' ? '\0' : ']';
    default:
        return '\0';
    }
}

/* A blank behind a bar line and its repeats. */
static bool may_break(const char *notes, const char *at)
{
    if (at == notes || (*at != ' ' && *at != '\t'))
        return false;
    const char before = at[-1];
    return before == '|' || ((before == ':' || before == ']') && at - 1 > notes && at[-2] == '|');
}

size_t notes_lines_break(const char *notes, size_t most)
{
    const size_t all = strlen(notes);
    size_t best = all;
    char close = '\0';
    if (all <= most)
        return all;
    for (const char *at = notes; *at; at++) {
        const size_t used = (size_t)(at - notes);
        if (!close && may_break(notes, at) && (used <= most || best == all))
            best = used;
        if (used > most && best < all)
            break;
        close = !close ? closes(at) : *at == close ? '\0' : close;
    }
    return best;
}
