/* The settings table: one list makes the public table, the readers' table and the ids, so that
 * they cannot fall apart. Also the search for the word that was meant. */
#include "text/settings.h"

#include "text/scan.h"

#include <string.h>
#include <strings.h>

#define WORD_MAX 32 /* longer words are like nothing in the table */

#define ROUTINE_TEMPO "tempo" /* no key of a passage file or an option */

#define SETTING_ENTRY(id, section, key, value, usual, help) {section, key, value, usual, help},
static const struct passo_setting settings[] = {SETTINGS(SETTING_ENTRY)};

#define SETTING_READ(id, section, key, value, usual, help) read_##id,
static setting_reader *const readers[] = {SETTINGS(SETTING_READ)};

static const char *const sections[] = {"passage", "shape", "loops", "variants",
                                       "ladder",  "pulse", "pitch", "stage"};
#define SECTIONS (sizeof sections / sizeof *sections)

const struct passo_setting *passo_settings(size_t *out_count)
{
    *out_count = SETTING_COUNT;
    return settings;
}

const struct passo_setting *setting_at(enum setting_id id)
{
    return &settings[id];
}

setting_reader *setting_reader_at(enum setting_id id)
{
    return readers[id];
}

/* A file may also say `silent` for `leave-out`: the option of that name is a switch of its own, so
 * that the table cannot have it. A routine's block, whose tempo is not climbed to, has `tempo` for
 * its target. */
enum setting_id setting_id_of(const char *key)
{
    size_t id = 0;
    if (!strcmp(key, "silent"))
        return SETTING_leave_out;
    if (!strcmp(key, ROUTINE_TEMPO))
        return SETTING_target;
    while (id < SETTING_COUNT && strcmp(settings[id].key, key))
        id++;
    return (enum setting_id)id;
}

const struct passo_setting *passo_setting_find(const char *key)
{
    enum setting_id id = strcmp(key, ROUTINE_TEMPO) ? setting_id_of(key) : SETTING_COUNT;
    return id == SETTING_COUNT ? NULL : &settings[id];
}

static size_t least(size_t a, size_t b)
{
    return a < b ? a : b;
}

/* How many letters to add, leave out, change or swap with their neighbour. */
static size_t distance(const char *a, const char *b)
{
    size_t a_length = strlen(a);
    size_t b_length = strlen(b);
    size_t cost[WORD_MAX + 1][WORD_MAX + 1];
    if (a_length > WORD_MAX || b_length > WORD_MAX)
        return WORD_MAX;
    for (size_t i = 0; i <= a_length; i++)
        for (size_t j = 0; j <= b_length; j++) {
            if (!i || !j) {
                cost[i][j] = i + j;
                continue;
            }
            bool same = !strncasecmp(a + i - 1, b + j - 1, 1);
            cost[i][j] = least(least(cost[i - 1][j], cost[i][j - 1]) + 1,
                               cost[i - 1][j - 1] + (same ? 0 : 1));
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
                cost[i][j] = least(cost[i][j], cost[i - 2][j - 2] + 1);
        }
    return cost[a_length][b_length];
}

/* Near: at most a third of the letters, and never all of a short word. */
bool passo_word_nearer(const char *word, const char *candidate, size_t *best)
{
    size_t letters = distance(word, candidate);
    if (letters >= *best || letters > (strlen(candidate) + 2) / 3)
        return false;
    *best = letters;
    return true;
}

const struct passo_setting *passo_setting_nearest(const char *key)
{
    const struct passo_setting *nearest = NULL;
    size_t best = WORD_MAX;
    for (size_t i = 0; i < SETTING_COUNT; i++)
        if (passo_word_nearer(key, settings[i].key, &best))
            nearest = &settings[i];
    return nearest;
}

bool setting_is_named(enum setting_id id)
{
    return id == SETTING_shape || id == SETTING_loop || id == SETTING_variant;
}

bool setting_section_is_named(const char *section)
{
    return !strcmp(section, "loops") || !strcmp(section, "variants") || !strcmp(section, "shape");
}

/* Under [loops] a chain is no loop of that name. */
bool setting_line_is_named(const struct passo_line *line)
{
    const char *chain = setting_at(SETTING_chain)->key;
    return setting_section_is_named(line->section) &&
           (strcmp(line->section, "loops") || strcasecmp(line->key, chain));
}

const char *setting_stage_name(const char *section)
{
    const char *at = section;
    if (!scan_word(&at, "stage") || !strchr(" \t", *at))
        return NULL;
    return at + strspn(at, " \t");
}

bool passo_line_of_stage(const struct passo_line *line)
{
    return setting_stage_name(line->section) != NULL;
}

bool setting_is_of_stage(enum setting_id id)
{
    return id == SETTING_loop || id == SETTING_variant || id == SETTING_chain ||
           id == SETTING_target ||
           (id != SETTING_on_miss && !strcmp(setting_at(id)->section, "ladder"));
}

bool setting_line_yields(const struct passo_line *own, const struct passo_line *common)
{
    enum setting_id id = setting_id_of(own->key);
    bool its_own = id == SETTING_target || id == SETTING_stop || id == SETTING_loop ||
                   id == SETTING_variant || id == SETTING_chain ||
                   (id == SETTING_start && strcasestr(own->value, "result"));
    return !its_own && common && common->rank > own->rank;
}

const char *setting_section(const char *section)
{
    for (size_t i = 0; i < SECTIONS; i++)
        if (!strcmp(section, sections[i]))
            return sections[i];
    return NULL;
}

const char *setting_section_nearest(const char *section)
{
    const char *nearest = NULL;
    size_t best = WORD_MAX;
    for (size_t i = 0; i < SECTIONS; i++)
        if (passo_word_nearer(section, sections[i], &best))
            nearest = sections[i];
    return nearest;
}
