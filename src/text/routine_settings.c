/* The settings of a routine file: one list makes the table, the readers' table and the ids, as for
 * a passage file; and which of a passage's settings a block takes. */
#include "text/routine_priv.h"

#include <string.h>

#define ROUTINE_ENTRY(id, section, key, value, usual, help) {section, key, value, usual, help},
static const struct passo_setting settings[] = {ROUTINE_SETTINGS(ROUTINE_ENTRY)};

#define ROUTINE_READ(id, section, key, value, usual, help) routine_read_##id,
static routine_reader *const readers[] = {ROUTINE_SETTINGS(ROUTINE_READ)};

const struct passo_setting *routine_setting_at(enum routine_id id)
{
    return &settings[id];
}

routine_reader *routine_reader_at(enum routine_id id)
{
    return readers[id];
}

enum routine_id routine_id_of(const char *section, const char *key)
{
    size_t id = 0;
    while (id < ROUTINE_COUNT &&
           (strcmp(settings[id].section, section) != 0 || strcmp(settings[id].key, key) != 0))
        id++;
    return (enum routine_id)id;
}

bool routine_tunes(enum setting_id id)
{
    return id == SETTING_instrument || id == SETTING_transposition || id == SETTING_reference ||
           id == SETTING_drone || id == SETTING_fifth;
}

bool routine_takes(enum setting_id id)
{
    return routine_tunes(id) || id == SETTING_meter || id == SETTING_beat || id == SETTING_bars ||
           id == SETTING_pickup || id == SETTING_tags || id == SETTING_shape ||
           id == SETTING_rest || (id != SETTING_COUNT && !strcmp(setting_at(id)->section, "pulse"));
}

enum setting_id routine_passage_id_of(const char *key)
{
    enum setting_id id = setting_id_of(key);
    return routine_takes(id) ? id : SETTING_COUNT;
}

const char *routine_key_nearest(const char *section, const char *key)
{
    const char *nearest = NULL;
    size_t best = SIZE_MAX;
    for (size_t i = 0; i < ROUTINE_COUNT; i++)
        if (!strcmp(settings[i].section, section) && passo_word_nearer(key, settings[i].key, &best))
            nearest = settings[i].key;
    for (size_t i = 0; i < SETTING_COUNT; i++) {
        const enum setting_id id = (enum setting_id)i;
        const char *candidate = setting_at(id)->key;
        const bool here = !strcmp(section, "block") ? routine_takes(id) : routine_tunes(id);
        if (here && passo_word_nearer(key, candidate, &best))
            nearest = candidate;
    }
    return nearest;
}
