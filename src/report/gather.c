/* Rows in: each finds its player's passage, by a hash table and by the last one found, its day and
 * its session. A pass is kept as 24 bytes; playing and rest are added up at once. Beat units are
 * read once a name. Everything that needs all rows is done at the end (gather_settle.c). Runs on
 * the main thread. */
#include <stdlib.h>
#include <string.h>
#include "report/report_priv.h"
#include "text/notation.h"

enum { SLOTS_FIRST = 64 };

static char *copy(const char *text)
{
    size_t bytes = strlen(text) + 1;
    return memcpy(passo_xcalloc(bytes, 1), text, bytes);
}

void *gather_room(void *array, size_t count, size_t *room, size_t bytes)
{
    if (count < *room)
        return array;
    *room = *room ? 2 * *room : 8;
    return passo_xrealloc(array, *room * bytes);
}

struct passo_report *passo_report_begin(int32_t today, int32_t from_day, int32_t to_day)
{
    struct passo_report *report = passo_xcalloc(1, sizeof *report);
    report->today = today;
    report->from_day = from_day;
    report->to_day = to_day;
    report->index = passo_xcalloc(1, sizeof *report->index);
    report->index->slots = SLOTS_FIRST;
    report->index->slot = passo_xcalloc(SLOTS_FIRST, sizeof *report->index->slot);
    return report;
}

/* FNV-1a, 64 bits; the terminating 0 sets the texts apart. */
static uint64_t hash_text(uint64_t hash, const char *text)
{
    do
        hash = (hash ^ (unsigned char)*text) * 0x100000001b3u;
    while (*text++);
    return hash;
}

static struct gather_place **slot_of(struct passo_report_index *index, uint64_t hash,
                                     const char *player, const char *title, const char *piece)
{
    for (size_t at = hash & (index->slots - 1);; at = (at + 1) & (index->slots - 1)) {
        struct gather_place *place = index->slot[at];
        if (!place ||
            (place->hash == hash && !strcmp(place->passage.player, player) &&
             !strcmp(place->passage.title, title) && !strcmp(place->passage.piece, piece)))
            return &index->slot[at];
    }
}

static void grow(struct passo_report_index *index)
{
    struct gather_place **old = index->slot;
    size_t slots = index->slots;
    index->slots *= 2;
    index->slot = passo_xcalloc(index->slots, sizeof *index->slot);
    for (size_t i = 0; i < slots; i++) {
        if (!old[i])
            continue;
        size_t at = old[i]->hash & (index->slots - 1);
        while (index->slot[at])
            at = (at + 1) & (index->slots - 1);
        index->slot[at] = old[i];
    }
    free(old);
}

static struct gather_place *place_of(struct passo_report *report, const char *player,
                                     const char *title, const char *piece)
{
    struct passo_report_index *index = report->index;
    uint64_t hash = hash_text(hash_text(hash_text(0xcbf29ce484222325u, player), title), piece);
    struct gather_place **slot = slot_of(index, hash, player, title, piece);
    if (*slot)
        return *slot;
    if (2 * report->passages >= index->slots) {
        grow(index);
        slot = slot_of(index, hash, player, title, piece);
    }
    struct gather_place *place = passo_xcalloc(1, sizeof *place);
    *slot = place;
    place->hash = hash;
    place->beat = SIZE_MAX;
    place->target_beat = SIZE_MAX;
    place->passage.player = copy(player);
    place->passage.title = copy(title);
    place->passage.piece = copy(piece);
    place->passage.beat = passo_ratio(1, 4);
    report->passage = gather_room(report->passage, report->passages, &index->room,
                                  sizeof(struct passo_report_passage *));
    report->passage[report->passages++] = &place->passage;
    return place;
}

void passo_report_expect(struct passo_report *report, const char *player, const char *title,
                         const char *piece)
{
    (void)place_of(report, player, title, piece);
}

/* The beat unit of a name, read when it first comes. */
static size_t beat_of(struct passo_report_index *index, const char *name)
{
    if (index->beat_now < index->beats && !strcmp(index->beat[index->beat_now].name, name))
        return index->beat_now;
    size_t at = 0;
    while (at < index->beats && strcmp(index->beat[at].name, name) != 0)
        at++;
    if (at == UINT16_MAX) /* names that nobody would write: they are as one that cannot be read */
        return at - 1;
    if (at == index->beats) {
        index->beat = passo_xrealloc(index->beat, (at + 1) * sizeof *index->beat);
        struct gather_beat *beat = &index->beat[index->beats++];
        beat->name = copy(at == UINT16_MAX - 1 ? "" : name);
        if (at == UINT16_MAX - 1 || passo_note_value_read(name, &beat->value) != PASSO_OK)
            beat->value = (struct passo_ratio){0, 1};
    }
    index->beat_now = at;
    return at;
}

/* The day of a row. Days come in order, but for rows of other time zones and of a clock that was
 * set back. */
static struct passo_report_day *day_of(struct gather_place *place, int32_t day)
{
    struct passo_report_passage *passage = &place->passage;
    if (passage->days && passage->day[place->day_now].day == day)
        return &passage->day[place->day_now];
    for (size_t i = day > place->day_latest ? 0 : passage->days; i > 0; i--) {
        if (passage->day[i - 1].day != day)
            continue;
        place->day_now = i - 1;
        return &passage->day[i - 1];
    }
    passage->day = gather_room(passage->day, passage->days, &place->day_room, sizeof *passage->day);
    place->day_now = passage->days++;
    place->day_latest = day > place->day_latest ? day : place->day_latest;
    passage->day[place->day_now] = (struct passo_report_day){.day = day};
    return &passage->day[place->day_now];
}

static struct passo_report_session *session_of(struct gather_place *place,
                                               const struct passo_row *row)
{
    struct passo_report_passage *passage = &place->passage;
    bool same = passage->sessions && row->pass > place->session_pass &&
                !strncmp(place->session, row->session, sizeof place->session - 1);
    place->session_pass = row->pass;
    if (same)
        return &passage->session[passage->sessions - 1];
    strncpy(place->session, row->session, sizeof place->session - 1);
    passage->session = gather_room(passage->session, passage->sessions, &place->session_room,
                                   sizeof *passage->session);
    struct passo_report_session *session = &passage->session[passage->sessions++];
    *session = (struct passo_report_session){.began_ns = row->time_ns,
                                             .offset_s = row->offset_s,
                                             .day = row->day,
                                             .first = place->passes};
    return session;
}

static void keep_pass(struct gather_place *place, const struct passo_row *row, size_t beat)
{
    bool whole = !strcmp(row->loop, "whole");
    place->pass = gather_room(place->pass, place->passes, &place->pass_room, sizeof *place->pass);
    place->pass[place->passes++] = (struct gather_pass){
        .mbpm = row->tempo_mbpm,
        .miss_bar = row->mark == PASSO_MARK_MISS ? row->miss_bar : INT32_MIN,
        .day = (uint32_t)place->day_now,
        .beat = (uint16_t)beat,
        .mark = (uint8_t)row->mark,
        .part = (uint8_t)row->part,
        .extra = (uint8_t)row->extra,
        .move = (uint8_t)row->move,
        .level = passo_row_is_level(row),
        .wins = passo_row_wins(row),
        .counts = passo_row_shows(row) && row->mark != PASSO_MARK_VOID,
    };
    if (whole) {
        char clean[sizeof place->passage.bars];
        strcpy(place->passage.bars, passo_text_clean(row->bars, clean, sizeof clean));
    }
}

void passo_report_take(void *user, const struct passo_row *row)
{
    struct passo_report *report = user;
    struct passo_report_index *index = report->index;
    struct gather_place *place = index->last;
    if (row->day < report->from_day || row->day > (report->to_day ? report->to_day : report->today))
        return;
    if (!place || strcmp(place->passage.title, row->passage) != 0 ||
        strcmp(place->passage.player, row->player) != 0 ||
        strcmp(place->passage.piece, row->piece) != 0)
        place = index->last = place_of(report, row->player, row->passage, row->piece);
    size_t beat = beat_of(index, row->beat_unit);
    struct passo_report_day *day = day_of(place, row->day);
    struct passo_report_session *session = session_of(place, row);
    if (index->beat[beat].value.num)
        place->beat = beat;
    if (row->target_mbpm > 0) {
        place->target_mbpm = row->target_mbpm;
        place->target_beat = beat;
    }
    keep_pass(place, row, beat);
    session->passes++;
    session->play_ns += row->play_ns;
    if (row->move != PASSO_MOVE_NONE)
        session->ended = passo_move_as_end(row->move);
    if (row->mark != PASSO_MARK_VOID && row->extra != PASSO_EXTRA_CHECK) {
        day->passes++;
        day->play_ns += row->play_ns;
        day->rest_ns += row->rest_ns;
    }
}

static void free_place(struct gather_place *place)
{
    free(place->passage.player);
    free(place->passage.title);
    free(place->passage.piece);
    free(place->passage.pass);
    free(place->passage.session);
    free(place->passage.day);
    free(place->passage.rung);
    free(place->passage.bar);
    free(place->pass);
    free(place);
}

void passo_report_free(struct passo_report *report)
{
    if (!report)
        return;
    for (size_t i = 0; i < report->passages; i++)
        free_place((struct gather_place *)report->passage[i]);
    for (size_t i = 0; i < report->index->beats; i++)
        free(report->index->beat[i].name);
    free(report->index->beat);
    free(report->index->slot);
    free(report->index);
    free(report->passage);
    free(report);
}
