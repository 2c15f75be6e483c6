/* The lines of a routine file, sorted by section: those of [routine], and of each [block NAME] its
 * own and those that are a passage's. A block begins with its head, whether lines follow or not. */
#include "text/lines.h"
#include "text/notation.h"
#include "text/routine_priv.h"
#include "text/scan.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

#define SECTIONS "[routine] or [block NAME]"

struct collecting {
    struct routine_lines *lines;
    struct passo_faults *faults;
    struct routine_block_lines *block; /* the one in force */
    bool common;                       /* [routine] is in force */
    bool told;                         /* that lines stand above every section */
    size_t count;
};

/* The name in a block's section, "" if it lacks one; NULL if it is another section. */
static const char *block_name(const char *section)
{
    const char *at = section;
    if (!scan_word(&at, "block") || !strchr(" \t", *at))
        return NULL;
    return at + strspn(at, " \t");
}

static void fault_section(const struct collecting *collecting, const struct page_line *line,
                          const char *what)
{
    char shown[LINES_QUOTE_MAX];
    passo_fault(collecting->faults, "%s, line %d: [%s]: %s", line->path, line->section_line,
                lines_quote(line->section, shown), what);
}

static void begin_block(struct collecting *collecting, const struct page_line *line,
                        const char *name)
{
    struct routine_lines *lines = collecting->lines;
    char what[ROUTINE_ORIGIN_BYTES + 64];
    if (!*name) {
        fault_section(collecting, line, "a block has a name: [block long tones]");
        return;
    }
    if (lines->blocks == PASSO_BLOCKS_MAX) {
        fault_section(collecting, line, "this is one block too many; 24 would do");
        return;
    }
    struct routine_block_lines *block = &lines->block[lines->blocks];
    passo_text_clean(name, block->name, sizeof block->name);
    for (size_t i = 0; i < lines->blocks; i++)
        if (!strcasecmp(lines->block[i].name, block->name)) {
            const char *place = strstr(lines->block[i].origin, ", line ");
            snprintf(what, sizeof what, "this name is taken (%s); each block has its own",
                     place ? place + 2 : lines->block[i].origin);
            fault_section(collecting, line, what);
            return;
        }
    snprintf(what, sizeof what, "%s, line %d", line->path, line->section_line);
    block->origin = scan_copy(what);
    collecting->block = block;
    lines->blocks++;
}

static void begin(void *user, const struct page_line *line)
{
    struct collecting *collecting = user;
    char what[96];
    size_t best = SIZE_MAX;
    const char *name = block_name(line->section);
    collecting->block = NULL;
    collecting->common = !strcasecmp(line->section, "routine");
    if (collecting->common)
        return;
    if (name) {
        begin_block(collecting, line, name);
    } else if (passo_word_nearer(line->section, "routine", &best)) {
        fault_section(collecting, line, "not known here; did you mean [routine]?");
    } else {
        snprintf(what, sizeof what, "not known here; a routine's sections are %s", SECTIONS);
        fault_section(collecting, line, what);
    }
}

/* What is wrong with a key that its section does not have. */
static void fault_key(const struct collecting *collecting, const struct passo_line *line)
{
    char hint[160];
    bool common = collecting->common;
    const char *nearest = routine_key_nearest(line->section, line->key);
    bool elsewhere = common ? routine_id_of("block", line->key) != ROUTINE_COUNT ||
                                  routine_passage_id_of(line->key) != SETTING_COUNT
                            : routine_id_of("routine", line->key) != ROUTINE_COUNT;
    if (elsewhere)
        snprintf(hint, sizeof hint, "this line belongs under %s",
                 common ? "a [block NAME]" : "[routine]");
    else if (!strcmp(line->key, "target") && !common)
        snprintf(hint, sizeof hint, "a block has one tempo: tempo = quarter = 60");
    else if (passo_setting_find(line->key))
        snprintf(hint, sizeof hint, "this is a passage's line; a routine has no place for it");
    else if (nearest)
        snprintf(hint, sizeof hint, "not known here; did you mean %s?", nearest);
    else
        snprintf(hint, sizeof hint, "not known here; passo show forty-five shows what could be");
    lines_fault(collecting->faults, line, hint);
}

/* Adds the line unless it is said already. */
static void add(struct collecting *collecting, struct passo_lines *to,
                const struct passo_line *line)
{
    for (size_t i = 0; i < to->lines; i++) {
        const struct passo_line *before = &to->line[i];
        if (strcmp(before->section, line->section) != 0 || strcmp(before->key, line->key) != 0)
            continue;
        char hint[ROUTINE_ORIGIN_BYTES + 64];
        const char *place = strstr(before->origin, ", line ");
        snprintf(hint, sizeof hint, "this is said already (%s); one of them would do",
                 place ? place + 2 : before->origin);
        lines_fault(collecting->faults, line, hint);
        return;
    }
    collecting->count++;
    lines_insert(to, line);
}

/* As a passage's line, in its section. */
static void add_as_passage(struct collecting *collecting, struct passo_lines *to,
                           struct passo_line *line, enum setting_id id)
{
    char section[16];
    snprintf(section, sizeof section, "%s", setting_at(id)->section);
    line->section = section;
    add(collecting, to, line);
}

/* "shape = bar 5 = tempo 80 %" is the line `bar 5 = tempo 80 %` of [shape]. */
static void add_shape(struct collecting *collecting, struct passo_line *line)
{
    char *place = scan_copy_lower(line->value);
    char *equals = strchr(place, '=');
    if (!equals) {
        lines_fault(collecting->faults, line,
                    "this is written shape = PLACE = WHAT: shape = bar 5 = tempo 80 %");
    } else {
        struct passo_line shape = *line;
        char *what = scan_copy(strchr(line->value, '=') + 1);
        *equals = '\0';
        shape.section = (char[]){"shape"};
        shape.key = scan_copy(place);
        shape.value = what;
        add(collecting, &collecting->block->taken, &shape);
        free(shape.key);
        free(what);
    }
    free(place);
}

static void add_taken(struct collecting *collecting, struct passo_line *line, enum setting_id id)
{
    if (id == SETTING_shape)
        add_shape(collecting, line);
    else
        add_as_passage(collecting, &collecting->block->taken, line, id);
}

static void accept(struct collecting *collecting, struct passo_line *line)
{
    enum routine_id own = routine_id_of(line->section, line->key);
    enum setting_id taken = routine_passage_id_of(line->key);
    if (own == ROUTINE_tempo)
        add_taken(collecting, line, SETTING_target);
    else if (own != ROUTINE_COUNT)
        add(collecting, collecting->common ? &collecting->lines->common : &collecting->block->own,
            line);
    else if (taken != SETTING_COUNT && !collecting->common)
        add_taken(collecting, line, taken);
    else if (taken != SETTING_COUNT && routine_tunes(taken))
        add_as_passage(collecting, &collecting->lines->tuning, line, taken);
    else
        fault_key(collecting, line);
}

static bool take(void *user, const struct page_line *line)
{
    struct collecting *collecting = user;
    char origin[ROUTINE_ORIGIN_BYTES];
    if (!line->section_line && !collecting->told)
        passo_fault(collecting->faults,
                    "%s, line %d: no section yet; put [routine] or [block NAME] above this line",
                    line->path, line->line);
    collecting->told |= !line->section_line;
    if (!collecting->common && !collecting->block)
        return true;
    snprintf(origin, sizeof origin, "%s, line %d", line->path, line->line);
    struct passo_line accepted = {.section =
                                      collecting->common ? (char[]){"routine"} : (char[]){"block"},
                                  .key = scan_copy_lower(line->key),
                                  .value = scan_copy(line->value),
                                  .origin = origin,
                                  .rank = PASSO_RANK_FILE};
    bool full = collecting->count == LINES_MAX;
    char *key = accepted.key;
    if (full)
        lines_fault(collecting->faults, &accepted, "there are too many lines; 4096 would do");
    else
        accept(collecting, &accepted);
    free(accepted.value);
    free(key);
    return !full;
}

void routine_lines_read(struct routine_lines *lines, const char *path, struct passo_faults *faults)
{
    static const struct page_kind kind = {.sections = SECTIONS, .begin = begin, .take = take};
    struct collecting collecting = {.lines = lines, .faults = faults};
    memset(lines, 0, sizeof *lines);
    page_read(path, &kind, &collecting, faults);
}

void routine_lines_deinit(struct routine_lines *lines)
{
    passo_lines_deinit(&lines->common);
    passo_lines_deinit(&lines->tuning);
    for (size_t i = 0; i < lines->blocks; i++) {
        passo_lines_deinit(&lines->block[i].own);
        passo_lines_deinit(&lines->block[i].taken);
        free(lines->block[i].origin);
    }
    memset(lines, 0, sizeof *lines);
}

const struct passo_line *routine_line_of(const struct passo_lines *lines, enum routine_id id)
{
    for (size_t i = 0; i < lines->lines; i++)
        if (routine_id_of(lines->line[i].section, lines->line[i].key) == id)
            return &lines->line[i];
    return NULL;
}
