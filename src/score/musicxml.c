/* MusicXML 4.0, partwise and timewise. The file is gone through twice: once for the parts, and
 * which voices of them have notes; once for the first such voice of the part that was asked for.
 * Bars come in the order in which they are written; repeats are not played out. */
#include "score/musicxml_priv.h"

#include <stdlib.h>
#include <string.h>

static const char *const element_name[] = {
#define X(name, text) [MUSICXML_##name] = text,
    MUSICXML_ELEMENTS(X)
#undef X
};

enum { ELEMENTS = sizeof element_name / sizeof element_name[0], NUMBER_MAX = 999999 };

/* The table is in the alphabet's order of the names. */
static int compare_name(const void *key, const void *entry)
{
    return strcmp(key, *(const char *const *)entry);
}

static enum musicxml_element element_of(const char *name)
{
    const char *const *found =
        bsearch(name, element_name, ELEMENTS, sizeof *element_name, compare_name);
    return found ? (enum musicxml_element)(found - element_name) : MUSICXML_OTHER;
}

/* --- parts --- */

static size_t find_part(const struct musicxml *music, const char *id)
{
    /* Mostly it is the one after the last. */
    const size_t from = music->current < music->parts ? music->current : 0;
    for (size_t i = 0; i < music->parts; i++) {
        const size_t part = (from + 1 + i) % music->parts;
        if (strncmp(music->part[part].id, id, MUSICXML_ID_BYTES - 1) == 0)
            return part;
    }
    return SIZE_MAX;
}

static size_t add_part(struct musicxml *music, const char *id)
{
    if (!score_add_part(&music->build, "", 0))
        return SIZE_MAX;
    music->part = list_room(music->part, music->parts, sizeof *music->part);
    music->part[music->parts] = (struct musicxml_part){.at = {0, 1}, .reach = {0, 1}};
    snprintf(music->part[music->parts].id, MUSICXML_ID_BYTES, "%s", id);
    return music->parts++;
}

static void open_part(struct musicxml *music, const char *id)
{
    size_t part = find_part(music, id);
    if (part == SIZE_MAX)
        part = add_part(music, id);
    music->current = part;
}

/* --- measures --- */

/* "12" is 12; "X1" and the like have no number of their own and go by that of the one before. */
static void number_measure(struct musicxml *music, const char **attribute)
{
    int64_t number = 0;
    if (musicxml_whole(xml_attribute(attribute, "number"), 0, NUMBER_MAX, &number))
        music->number = (int32_t)number;
}

/* --- elements --- */

/* Whether path[3] is a measure of a part, or in a timewise file a part of a measure. */
static bool is_bar(const struct musicxml *music)
{
    const enum musicxml_element outer = music->timewise ? MUSICXML_MEASURE : MUSICXML_PART;
    const enum musicxml_element inner = music->timewise ? MUSICXML_PART : MUSICXML_MEASURE;
    return music->depth >= 3 && music->path[2] == outer && music->path[3] == inner &&
           music->current != SIZE_MAX;
}

static bool in_bar(const struct musicxml *music)
{
    return music->depth > 3 && is_bar(music);
}

static void begin_structure(struct musicxml *music, enum musicxml_element element,
                            const char **attribute)
{
    const int part_depth = music->timewise ? 3 : 2;
    const int measure_depth = music->timewise ? 2 : 3;
    if (element == MUSICXML_SCORE_PART && !music->reads)
        open_part(music, xml_attribute(attribute, "id"));
    if (element == MUSICXML_PART && music->depth == part_depth)
        open_part(music, xml_attribute(attribute, "id"));
    if (element == MUSICXML_MEASURE && music->depth == measure_depth) {
        number_measure(music, attribute);
        music->measures++;
    }
    if (music->depth == 3 && is_bar(music))
        musicxml_measure_begin(music);
}

static void on_begin(void *user, const char *name, const char **attribute)
{
    struct musicxml *music = user;
    const enum musicxml_element element = element_of(name);
    music->path[++music->depth] = element;
    if (music->depth == 1) {
        music->timewise = element == MUSICXML_SCORE_TIMEWISE;
        if (!music->timewise && element != MUSICXML_SCORE_PARTWISE)
            xml_fault(music->xml, PASSO_ERR_SYNTAX,
                      "the file is \"%.40s\", not MusicXML (score-partwise or score-timewise)",
                      name);
    } else if (in_bar(music)) {
        musicxml_attributes_begin(music, element, attribute);
        musicxml_note_begin(music, element, attribute);
    } else {
        begin_structure(music, element, attribute);
    }
}

static void end_structure(struct musicxml *music, enum musicxml_element element, const char *text)
{
    const enum musicxml_element in = music->path[music->depth - 1];
    struct passo_score *score = music->score;
    if (element == MUSICXML_WORK_TITLE && !score->title[0])
        score_text(text, strlen(text), score->title);
    if (element == MUSICXML_MOVEMENT_TITLE && text[0])
        score_text(text, strlen(text), score->title);
    if (element == MUSICXML_PART_NAME && in == MUSICXML_SCORE_PART && !music->reads &&
        music->current != SIZE_MAX)
        score_text(text, strlen(text), score->part_name[music->current]);
    if (music->depth == 3 && is_bar(music))
        musicxml_measure_end(music);
    if (element == MUSICXML_MEASURE && music->timewise && music->depth == 2 && music->reads &&
        music->score->bars < music->measures)
        musicxml_measure_skip(music);
}

static void on_end(void *user, const char *name, const char *text)
{
    struct musicxml *music = user;
    const enum musicxml_element element = music->path[music->depth];
    (void)name;
    if (in_bar(music)) {
        musicxml_attributes_end(music, element, text);
        musicxml_note_end(music, element, text);
    } else {
        end_structure(music, element, text);
    }
    music->depth--;
}

/* --- the two times through --- */

static bool go_through(struct musicxml *music, const char *text, size_t bytes)
{
    const struct xml_taker taker = {.begin = on_begin, .end = on_end, .user = music};
    music->depth = 0;
    music->path[0] = MUSICXML_OTHER;
    music->current = SIZE_MAX;
    music->measures = 0;
    music->number = 0;
    for (size_t i = 0; i < music->parts; i++)
        music->part[i].measure = 0;
    return xml_read(text, bytes, &taker, &music->xml, &music->build);
}

/* The first voice with notes, or NULL. */
static const char *first_voice(const struct musicxml_part *part)
{
    for (size_t i = 0; i < part->voices; i++) {
        if (part->voice[i].pitched)
            return part->voice[i].name;
    }
    return NULL;
}

static bool choose(struct musicxml *music, const struct passo_score_ask *ask)
{
    size_t notes[PASSO_SCORE_PARTS_MAX] = {0};
    size_t first = music->parts;
    for (size_t i = music->parts; i > 0; i--) {
        notes[i - 1] = first_voice(&music->part[i - 1]) ? 1 : 0;
        first = notes[i - 1] ? i - 1 : first;
    }
    if (first == music->parts)
        return score_fault(&music->build, PASSO_ERR_SYNTAX, "the file has no notes in it");
    if (!score_choose_part(&music->build, ask->part, notes, &music->chosen))
        return false;
    music->voice = first_voice(&music->part[music->chosen]);
    return music->voice || score_fault(&music->build, PASSO_ERR_SYNTAX,
                                       "part %zu has no notes; part %zu is the first that has",
                                       music->chosen + 1, first + 1);
}

static bool read_score(struct musicxml *music, const char *text, size_t bytes,
                       const struct passo_score_ask *ask)
{
    if (!go_through(music, text, bytes) || !choose(music, ask))
        return false;
    music->reads = true;
    music->key = ask->key;
    PASSO_BUG_ON(passo_meter_init(&music->meter, 4, 4) != PASSO_OK); /* where none stands */
    if (!go_through(music, text, bytes))
        return false;
    if (!music->score->notes)
        return score_fault(&music->build, PASSO_ERR_SYNTAX,
                           "part %zu has no notes that last; name another", music->chosen + 1);
    musicxml_finish(music);
    return true;
}

enum passo_error passo_musicxml_read(const char *text, size_t bytes,
                                     const struct passo_score_ask *ask,
                                     struct passo_score *out_score, char *out_fault,
                                     size_t fault_bytes)
{
    struct musicxml *music = passo_xcalloc(1, sizeof *music);
    music->score = out_score;
    score_begin(&music->build, out_score, out_fault, fault_bytes);
    if (!read_score(music, text, bytes, ask))
        PASSO_BUG_ON(music->build.error == PASSO_OK);
    const enum passo_error error = score_end(&music->build);
    free(music->part);
    free(music->tempo);
    free(music);
    return error;
}
