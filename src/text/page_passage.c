/* The lines of a passage file or a preset: which sections they may stand in, and how each is
 * spelt. */
#include "text/lines.h"
#include "text/scan.h"
#include "text/settings.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#define SECTIONS "[passage], [shape], [loops], [variants], [ladder], [pulse], [pitch]"

struct taking {
    struct passo_lines *lines;
    struct passo_faults *faults;
    enum passo_rank rank;
    char *folder;  /* of the file; NULL: the working folder */
    int told_line; /* the section line whose fault has been told */
};

/* What is wrong with a section in which no lines may stand. */
static void fault_section(const struct taking *taking, const struct page_line *line,
                          const char *section)
{
    char what[256];
    char shown[LINES_QUOTE_MAX];
    const char *nearest = setting_section_nearest(section);
    if (!line->section_line)
        snprintf(what, sizeof what, "no section yet; put [passage], [ladder] ... above this line");
    else if (setting_stage_name(section))
        snprintf(what, sizeof what, "[stage]: a stage has a name: [stage first half]");
    else if (setting_section(section))
        snprintf(what, sizeof what,
                 "a preset has no [%s]; only a chain under [loops], [variants], [ladder], [pulse], "
                 "[pitch] and [stage NAME]",
                 section);
    else
        snprintf(what, sizeof what, "[%s]: not known here; %s%s%s", lines_quote(section, shown),
                 nearest ? "did you mean [" : "sections are " SECTIONS " and [stage NAME",
                 nearest ? nearest : "", nearest ? "]?" : "]");
    passo_fault(taking->faults, "%s, line %d: %s", line->path,
                line->section_line ? line->section_line : line->line, what);
}

/* Whether lines may stand in this section; the first line of one where not tells the fault. */
static bool section_is_good(struct taking *taking, const struct page_line *line,
                            const char *section)
{
    const char *stage = setting_stage_name(section);
    bool known = stage || setting_section(section);
    bool in_preset = strcmp(section, "passage") && strcmp(section, "shape");
    if (taking->told_line == line->section_line && taking->told_line)
        return false;
    if (known && (taking->rank != PASSO_RANK_PRESET || in_preset) && (!stage || *stage))
        return true;
    fault_section(taking, line, section);
    taking->told_line = line->section_line;
    return false;
}

static bool take(void *user, const struct page_line *line)
{
    struct taking *taking = user;
    char origin[PASSO_PATH_BYTES + 32];
    bool full = false;
    char *name = setting_stage_name(line->section) ? scan_copy(line->section)
                                                   : scan_copy_lower(line->section);
    if (section_is_good(taking, line, name)) {
        bool loops = !strcmp(name, "loops");
        bool own = (loops && strcasecmp(line->key, "chain")) || !strcmp(name, "variants");
        char *word = own ? scan_copy(line->key) : scan_copy_lower(line->key);
        char *text = scan_copy(line->value);
        full = taking->lines->lines == LINES_MAX;
        snprintf(origin, sizeof origin, "%s, line %d", line->path, line->line);
        lines_accept(taking->lines,
                     &(struct passo_line){.section = name,
                                          .key = word,
                                          .value = text,
                                          .origin = origin,
                                          .folder = taking->folder,
                                          .rank = taking->rank},
                     taking->faults);
        free(text);
        free(word);
    }
    free(name);
    return !full;
}

/* Free it; NULL: the path has none. */
static char *folder_of(const char *path)
{
    const char *slash = strrchr(path, '/');
    if (!slash)
        return NULL;
    size_t length = slash == path ? 1 : (size_t)(slash - path);
    char *folder = passo_xcalloc(length + 1, 1);
    memcpy(folder, path, length);
    return folder;
}

void lines_read_file(struct passo_lines *lines, const char *path, enum passo_rank rank,
                     struct passo_faults *faults)
{
    static const struct page_kind kind = {.sections = SECTIONS " or [stage NAME]", .take = take};
    char *folder = folder_of(path);
    struct taking taking = {.lines = lines, .faults = faults, .rank = rank, .folder = folder};
    page_read(path, &kind, &taking, faults);
    free(folder);
}
