/* Files of the tests in whole, and the notes that other programs read in them (NAME.notes, written
 * by goldens_sheets.sh). */
#ifndef PASSO_TESTS_FILES_H
#define PASSO_TESTS_FILES_H

#include "scores_text.h"

#define FILES_NOTES_MAX 512

/* malloc()ed; a 0 stands behind it. */
__attribute__((unused)) static char *files_read(const char *name, size_t *out_bytes)
{
    char path[1024];
    snprintf(path, sizeof path, "%s/tests/score/%s", PASSO_SOURCE_DIR, name);
    FILE *file = fopen(path, "rb");
    if (!file)
        fail_msg("%s is not there", path);
    char *text = malloc(1 << 20);
    assert_non_null(text);
    *out_bytes = fread(text, 1, (1 << 20) - 1, file);
    text[*out_bytes] = '\0';
    fclose(file);
    return text;
}

struct files_note {
    int64_t at;     /* in ticks of 480 a quarter */
    int64_t length; /* likewise */
    int midi;
};

/* What another program reads of one part, in its order; returns how many. */
__attribute__((unused)) static size_t files_notes(const char *name, int part,
                                                  struct files_note out[FILES_NOTES_MAX])
{
    size_t bytes = 0;
    size_t notes = 0;
    char *text = files_read(name, &bytes);
    for (const char *line = text; line && *line; line = strchr(line, '\n')) {
        struct files_note note;
        int of = 0;
        line += *line == '\n';
        if (sscanf(line, "note %d %" SCNd64 " %" SCNd64 " %d", &of, &note.at, &note.length,
                   &note.midi) != 4 ||
            of != part)
            continue;
        assert_true(notes < FILES_NOTES_MAX);
        out[notes++] = note;
    }
    free(text);
    assert_true(notes > 0);
    return notes;
}

/* In ticks of 480 a quarter; the length must be whole. */
__attribute__((unused)) static int64_t files_ticks(struct passo_ratio length)
{
    const struct passo_ratio ticks = passo_ratio_mul(length, (struct passo_ratio){1920, 1});
    assert_int_equal(ticks.den, 1);
    return ticks.num;
}

#endif
