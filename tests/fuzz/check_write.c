/* What the writers write of a setup without a fault reads back without one, to the same setup, and
 * is then written as the same text. */
#include "fuzz.h"

#include "text/notation.h"

enum { FAULTS_MAX = 51, SENTENCE_MAX = 5000 };

bool fuzz_is_clean(const char *text)
{
    const size_t bytes = strlen(text) + 1;
    char *clean = passo_xcalloc(bytes, 1);
    const bool same = !strcmp(passo_text_clean(text, clean, bytes), text);
    free(clean);
    return same;
}

void fuzz_check_faults(const struct passo_faults *faults)
{
    FUZZ_CHECK(faults->faults <= FAULTS_MAX);
    for (size_t i = 0; i < faults->faults; i++) {
        FUZZ_CHECK(faults->fault[i][0] && strlen(faults->fault[i]) < SENTENCE_MAX);
        FUZZ_CHECK(fuzz_is_clean(faults->fault[i]));
    }
}

/* Sets the bytes between the fields of places to 0: copies of them hold what the stack held. */
static void clear_place(struct passo_place *place)
{
    struct passo_place clear;
    memset(&clear, 0, sizeof clear);
    clear.bar = place->bar;
    clear.at = place->at;
    memcpy(place, &clear, sizeof clear);
}

/* As clear_place(). */
static void clear_notes(struct passo_notes *notes)
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

static void clear_padding(struct passo_passage *passage)
{
    for (size_t loop = 0; loop < PASSO_LOOPS_MAX; loop++) {
        clear_place(&passage->loop[loop].from);
        clear_place(&passage->loop[loop].to);
    }
    for (size_t i = 0; i < PASSO_WRITTEN_MAX; i++) {
        struct passo_written *written = &passage->written[i];
        struct passo_written clear;
        memset(&clear, 0, sizeof clear);
        clear.kind = written->kind;
        clear.from = written->from;
        clear.to = written->to;
        clear.share = written->share;
        clear.beats = written->beats;
        clear_place(&clear.from);
        clear_place(&clear.to);
        memcpy(written, &clear, sizeof clear);
    }
    clear_place(&passage->context.from);
    clear_place(&passage->context.to);
}

static bool same_setup(const struct passo_setup *a, const struct passo_setup *b)
{
    static struct passo_setup one;
    static struct passo_setup other;
    memcpy(&one, a, sizeof one);
    memcpy(&other, b, sizeof other);
    clear_padding(&one.passage);
    clear_padding(&other.passage);
    clear_notes(&one.notes);
    clear_notes(&other.notes);
    return !memcmp(&one, &other, sizeof one);
}

enum writer { WHOLE, AS_SAID };

static char *written(const struct fuzz_trial *trial, enum writer writer, size_t *out_bytes)
{
    char *text = NULL;
    FILE *to = open_memstream(&text, out_bytes);
    FUZZ_CHECK(to);
    if (writer == WHOLE)
        passo_setup_write(&trial->lines, &trial->setup, true, to);
    else
        passo_lines_write(&trial->lines, to);
    FUZZ_CHECK(fclose(to) == 0);
    return text;
}

/* The comment at the top names a preset, which the text then is free of. */
static const char *body(const char *text)
{
    while (*text == '#' || *text == '\n')
        text += strcspn(text, "\n") + 1;
    return text;
}

static void check_writer(const struct fuzz_trial *trial, enum writer writer)
{
    static struct fuzz_trial back;
    size_t bytes = 0;
    size_t again_bytes = 0;
    char *text = written(trial, writer, &bytes);
    fuzz_trial_file(&back, text, bytes, false);
    if (back.faults.faults)
        fprintf(stderr, "%s\n%s\n", back.faults.fault[0], text);
    FUZZ_CHECK(back.faults.faults == 0);
    if (!same_setup(&trial->setup, &back.setup))
        fprintf(stderr, "reads back as another setup:\n%s\n", text);
    FUZZ_CHECK(same_setup(&trial->setup, &back.setup));
    char *again = written(&back, writer, &again_bytes);
    FUZZ_CHECK(!strcmp(body(again), body(text)));
    free(again);
    free(text);
    fuzz_trial_end(&back);
}

/* What is named by a path from another folder is another file. */
static bool names_file(const struct fuzz_trial *trial)
{
    for (size_t i = 0; i < trial->lines.lines; i++)
        if (!strcmp(trial->lines.line[i].key, "notes-from"))
            return true;
    return false;
}

void fuzz_check_write(const struct fuzz_trial *trial)
{
    check_writer(trial, WHOLE);
    if (!names_file(trial))
        check_writer(trial, AS_SAID);
}
