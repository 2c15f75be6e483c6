/* A passage through the keys: each key is an item of a day, told by its name and by its tonic as
 * the starting note. Runs on the main thread. */
#include "command/hear_parts.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include "text/notation.h"
#include "text/routine.h"

struct key_item {
    struct passo_key key;
    char name[PASSO_NAME_MAX];
    char prompt[PASSO_WORDS_BYTES];
};

struct keys {
    struct hear *hear;
    struct passo_setup *setup; /* of the key that is heard */
    struct key_item item[PASSO_KEYS_MAX];
    struct passo_day_item shown[PASSO_KEYS_MAX];
};

bool hear_keys_read(const char *text, struct passo_cycle *out_cycle)
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
    *out_cycle = (struct passo_cycle){.kind = PASSO_CYCLE_NONE};
    for (size_t i = 0; i < sizeof cycles / sizeof cycles[0]; i++)
        if (strcasecmp(text, cycles[i].name) == 0)
            out_cycle->kind = cycles[i].kind;
    if (out_cycle->kind != PASSO_CYCLE_NONE)
        return true;
    out_cycle->listed = (uint8_t)passo_keys_read(text, out_cycle->list, PASSO_KEYS_MAX, &whole);
    if (whole && out_cycle->listed)
        out_cycle->kind = PASSO_CYCLE_LIST;
    return out_cycle->kind != PASSO_CYCLE_NONE;
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

static bool ready(void *user, size_t at, struct passo_climb_setup *run, char *out_why, size_t bytes)
{
    struct keys *keys = user;
    const struct key_item *item = &keys->item[at];
    struct passo_setup *setup = keys->setup;
    (void)out_why;
    (void)bytes;
    *setup = *keys->hear->setup;
    struct passo_passage *passage = &setup->passage;
    const struct passo_turn *turn = &setup->course.stage[0].turn[0];
    setup->intonation.starts = true;
    setup->intonation.start = hear_tonic(setup, &passage->loop[turn->loop]);
    snprintf(passage->piece, sizeof passage->piece, "%s", passage->title);
    snprintf(passage->title, sizeof passage->title, "%s", item->name);
    run->setup = setup;
    run->shift = passo_interval_between(setup->intonation.key, item->key).semitones;
    return true;
}

/* Nothing of it is kept. */
static void over(void *user, size_t at, enum passo_day_doing doing,
                 const struct passo_climb_result *result, int64_t wall_ns)
{
    (void)user;
    (void)at;
    (void)doing;
    (void)result;
    (void)wall_ns;
}

/* One pass with its count-in and the time between; twice that where it is heard before. */
static int64_t pass_ms(const struct passo_setup *setup)
{
    const struct passo_stage *stage = &setup->course.stage[0];
    const struct passo_pass_shape shape = {.passage = &setup->passage,
                                           .loop = &setup->passage.loop[stage->turn[0].loop],
                                           .pulse = &setup->pulse,
                                           .mbpm = stage->rule.target_mbpm};
    const struct passo_pass_times times = passo_pass_times(&shape);
    const int64_t ms = (times.count_in_ns + times.played_ns) / 1000000;
    return (setup->intonation.hear == PASSO_HEAR_EVERY_PASS ? 2 * ms : ms) +
           stage->rule.rest_fixed_ms;
}

static void write_items(struct keys *keys)
{
    const struct passo_setup *setup = keys->hear->setup;
    const struct passo_cycle *cycle = &keys->hear->cycle;
    char title[PASSO_TEXT_MAX];
    passo_text_clean(setup->passage.title, title, sizeof title);
    for (size_t i = 0; i < passo_cycle_length(cycle); i++) {
        struct key_item *item = &keys->item[i];
        item->key = passo_cycle_key(cycle, i);
        item->key.mode =
            cycle->kind == PASSO_CYCLE_LIST ? item->key.mode : setup->intonation.key.mode;
        passo_key_write(item->key, item->name, sizeof item->name);
        snprintf(item->prompt, sizeof item->prompt, "Then %s.", item->name);
        keys->shown[i] = (struct passo_day_item){
            .line = item->name,
            .why = "",
            .prompt = item->prompt,
            .ms = pass_ms(setup) * setup->rule.stop_passes,
            .strain_permille = keys->hear->options->alternate ? PASSO_STRAIN_USUAL : 0,
            .block = true};
    }
}

enum passo_error hear_keys_run(struct hear *hear, char *out_fault, size_t fault_bytes)
{
    struct passo_day_result result;
    struct keys *keys = passo_xcalloc(1, sizeof *keys);
    keys->hear = hear;
    keys->setup = passo_xcalloc(1, sizeof *keys->setup);
    write_items(keys);
    const struct passo_day_setup setup = {.base = hear->staging.run,
                                          .sounds = hear->setup->sounds,
                                          .title = hear->setup->passage.title,
                                          .item = keys->shown,
                                          .items = passo_cycle_length(&hear->cycle),
                                          .goodbye = "",
                                          .user = keys,
                                          .ready = ready,
                                          .over = over};
    const enum passo_error error = passo_day_run(&setup, &result, out_fault, fault_bytes);
    free(keys->setup);
    free(keys);
    return error;
}
