/* A passage through the keys: one climb a key, all on one stream of sound, each told by its name
 * and by its tonic as the starting note. Runs on the main thread. */
#include "command/hear_parts.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include "session/sounding.h"
#include "text/routine.h"

bool hear_keys_read(const char *text, enum passo_mode mode, struct passo_cycle *out_cycle)
{
    static const struct {
        const char *name;
        enum passo_cycle_kind kind;
    } cycles[] = {{"fourths", PASSO_CYCLE_FOURTHS},
                  {"fifths", PASSO_CYCLE_FIFTHS},
                  {"chromatic", PASSO_CYCLE_CHROMATIC_UP},
                  {"chromatic up", PASSO_CYCLE_CHROMATIC_UP},
                  {"chromatic down", PASSO_CYCLE_CHROMATIC_DOWN}};
    bool whole = false;
    *out_cycle = (struct passo_cycle){.kind = PASSO_CYCLE_NONE, .mode = mode};
    for (size_t i = 0; i < sizeof cycles / sizeof cycles[0]; i++)
        if (strcasecmp(text, cycles[i].name) == 0)
            out_cycle->kind = cycles[i].kind;
    if (out_cycle->kind != PASSO_CYCLE_NONE)
        return true;
    out_cycle->listed = (uint8_t)passo_keys_read(text, out_cycle->list, PASSO_KEYS_MAX, &whole);
    if (whole && out_cycle->listed)
        out_cycle->kind = PASSO_CYCLE_LIST;
    for (size_t i = 0; i < out_cycle->listed; i++)
        out_cycle->list[i].mode = (uint8_t)mode;
    return out_cycle->kind != PASSO_CYCLE_NONE;
}

/* Where nothing is said a key reads as major, and may be told more: "F" and "F minor", but not "F
 * major minor". */
static bool says_mode(const char *name, enum passo_mode mode)
{
    char more[PASSO_TEXT_MAX + 8];
    struct passo_key key;
    snprintf(more, sizeof more, "%s minor", name);
    return passo_key_read(more, &key) != PASSO_OK && passo_key_read(name, &key) == PASSO_OK &&
           key.mode == mode;
}

bool hear_keys_other(const char *text, enum passo_mode mode, char *out, size_t bytes)
{
    const enum passo_mode other = mode == PASSO_MODE_MINOR ? PASSO_MODE_MAJOR : PASSO_MODE_MINOR;
    while (*text) {
        text += strspn(text, ", \t");
        const size_t length = strcspn(text, ",");
        snprintf(out, bytes, "%.*s", (int)length, text);
        if (says_mode(out, other))
            return true;
        text += length;
    }
    return false;
}

struct passo_pitch hear_tonic(const struct passo_setup *setup, const struct passo_loop *loop)
{
    const struct passo_note *first = passo_notes_first(&setup->notes, &setup->passage, loop);
    if (!first && setup->notes.notes)
        first = &setup->notes.note[0];
    struct passo_pitch tonic = {.fifths = setup->intonation.key.tonic, .octave = 4};
    if (!first)
        return tonic;
    tonic.octave = (int8_t)(first->pitch.octave + 1);
    while (tonic.octave > PASSO_OCTAVE_MIN &&
           passo_pitch_midi(tonic) > passo_pitch_midi(first->pitch))
        tonic.octave--;
    return tonic;
}

void hear_in_key(const struct passo_setup *own, struct passo_key key, struct passo_setup *out)
{
    *out = *own;
    struct passo_passage *passage = &out->passage;
    const struct passo_turn *turn = &own->course.stage[0].turn[0];
    out->intonation.starts = true;
    out->intonation.start_stays = true;
    out->intonation.start = hear_tonic(own, &own->passage.loop[turn->loop]);
    passo_key_write(key, passage->title, sizeof passage->title);
    snprintf(passage->piece, sizeof passage->piece, "%s", own->passage.title);
}

/* One climb a key. told: the key was named in the rest before it. False once the player has left,
 * or it could not be played. */
static bool hear_key(struct hear *hear, struct passo_climb_setup *run, size_t at, bool *told,
                     enum passo_error *out_error, char *out_fault, size_t fault_bytes)
{
    struct passo_climb_result result;
    char name[PASSO_NAME_MAX];
    char line[PASSO_TEXT_MAX + 2];
    char then[PASSO_NAME_MAX + 8] = "";
    const struct passo_key own = hear->setup->intonation.key;
    struct passo_setup *setup = passo_xcalloc(1, sizeof *setup);
    hear_in_key(hear->setup, passo_cycle_key(&hear->cycle, at), setup);
    snprintf(line, sizeof line, "%s.", setup->passage.title);
    if (!*told)
        run->view->ops->say(run->view, PASSO_SAY_START, line);
    run->then_title = NULL;
    if (at + 1 < passo_cycle_length(&hear->cycle)) {
        const struct passo_key next = passo_cycle_key(&hear->cycle, at + 1);
        run->then_title = passo_key_write(next, name, sizeof name);
        run->then_shift = passo_interval_between(own, next);
        snprintf(then, sizeof then, "Then %s.", name);
    }
    run->setup = setup;
    run->then_words = then;
    run->shift = passo_interval_between(own, passo_cycle_key(&hear->cycle, at));
    *out_error = passo_climb_run(run, &result, out_fault, fault_bytes);
    free(setup);
    if (*out_error != PASSO_OK)
        return false;
    *told = !result.by_hand;
    if (result.level_permille)
        run->level_permille = result.level_permille;
    return result.end != PASSO_END_QUIT;
}

enum passo_error hear_keys_run(struct hear *hear, char *out_fault, size_t fault_bytes)
{
    struct passo_sounding sounding;
    struct passo_climb_setup run = hear->staging.run;
    enum passo_error error = passo_sounding_open(&sounding, run.output, &run.ask,
                                                 hear->setup->sounds, out_fault, fault_bytes);
    if (error != PASSO_OK)
        return error;
    if (sounding.notice[0])
        run.view->ops->say(run.view, PASSO_SAY_NOTICE, sounding.notice);
    run.sounding = &sounding;
    const size_t keys = passo_cycle_length(&hear->cycle);
    bool told = false;
    for (size_t at = 0; at < keys; at++)
        if (!hear_key(hear, &run, at, &told, &error, out_fault, fault_bytes))
            break;
    passo_sounding_close(&sounding);
    return error;
}
