/* Setups written out, read back and written again. */
#ifndef PASSO_TEST_WRITE_TOOLS_H
#define PASSO_TEST_WRITE_TOOLS_H

#include "setup_tools.h"

/* The text that passo_setup_write() gives; free it. */
static inline char *written(const struct trial *trial, bool with_passage)
{
    char *text = NULL;
    size_t length = 0;
    FILE *to = open_memstream(&text, &length);
    assert_non_null(to);
    passo_setup_write(&trial->lines, &trial->setup, with_passage, to);
    assert_int_equal(fclose(to), 0);
    return text;
}

/* What stands behind the comments at the top: they name a preset, which the text then is free of.
 */
static inline const char *body(const char *text)
{
    while (*text == '#' || *text == '\n')
        text += strcspn(text, "\n") + 1;
    return text;
}

/* Sets the bytes between the fields of places to 0: copies of them hold what the stack held. */
static inline void clear_padding(struct passo_place *place)
{
    struct passo_place clear;
    memset(&clear, 0, sizeof clear);
    clear.bar = place->bar;
    clear.at = place->at;
    memcpy(place, &clear, sizeof clear);
}

/* Likewise those between the fields of notes. */
static inline void clear_notes(struct passo_notes *notes)
{
    for (size_t i = 0; i < notes->notes; i++) {
        struct passo_note clear;
        memset(&clear, 0, sizeof clear);
        clear.at = notes->note[i].at;
        clear.length = notes->note[i].length;
        clear.pitch = notes->note[i].pitch;
        clear.marks = notes->note[i].marks;
        memcpy(&notes->note[i], &clear, sizeof clear);
    }
}

static inline bool same_setup(struct passo_setup *a, struct passo_setup *b)
{
    struct passo_setup *both[] = {a, b};
    for (size_t i = 0; i < 2; i++) {
        struct passo_passage *passage = &both[i]->passage;
        for (size_t loop = 0; loop < PASSO_LOOPS_MAX; loop++) {
            clear_padding(&passage->loop[loop].from);
            clear_padding(&passage->loop[loop].to);
        }
        for (size_t written = 0; written < PASSO_WRITTEN_MAX; written++) {
            clear_padding(&passage->written[written].from);
            clear_padding(&passage->written[written].to);
        }
        clear_notes(&both[i]->notes);
        clear_padding(&passage->context.from);
        clear_padding(&passage->context.to);
    }
    return !memcmp(a, b, sizeof *a);
}

static inline struct trial *new_trial(void)
{
    return passo_xcalloc(1, sizeof(struct trial));
}

static inline void free_trial(struct trial *trial)
{
    trial_end(trial);
    free(trial);
}

/* That the trial's setup survives being written and read, and its text being written again. */
static inline void assert_reads_back(struct trial *trial, bool with_passage)
{
    struct trial *back = new_trial();
    char *text = written(trial, with_passage);
    write_file("back.passo", text, strlen(text));
    passo_lines_add_file(&back->lines, "back.passo", &back->faults);
    passo_setup_resolve(&back->lines, false, &back->setup, &back->faults);
    bool same = same_setup(&back->setup, &trial->setup);
    if (back->faults.faults || !same)
        print_error("%s", text);
    assert_no_faults(back);
    assert_true(same);
    char *again = written(back, with_passage);
    size_t same_bytes = 0;
    while (body(text)[same_bytes] && body(text)[same_bytes] == body(again)[same_bytes])
        same_bytes++;
    if (strcmp(body(again), body(text)) != 0)
        print_error("first: %.300s\nagain: %.300s\n", body(text) + same_bytes,
                    body(again) + same_bytes);
    assert_int_equal(strcmp(body(again), body(text)), 0);
    free(again);
    free(text);
    free_trial(back);
}

static inline struct trial *try_new(const char *text, const char *const *options)
{
    struct trial *trial = new_trial();
    try_lines(trial, text, options, false);
    assert_no_faults(trial);
    return trial;
}

#endif
