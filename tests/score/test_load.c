/* Files of any kind, told apart by what is in them; and paths that are no ordinary files. */
#include "abc_tools.h"

#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>
#include <unistd.h>

#define PATH_BYTES 256

static char folder[] = "/tmp/passo-load-XXXXXX";

static int make_folder(void **state)
{
    (void)state;
    return mkdtemp(folder) ? 0 : -1;
}

static int remove_folder(void **state)
{
    (void)state;
    return rmdir(folder);
}

static const char *in_folder(const char *name)
{
    static char path[PATH_BYTES];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    return path;
}

/* Loads a file with these bytes, under a name that tells nothing. */
static enum passo_error load(const void *bytes, size_t count, struct passo_score *score,
                             char fault[FAULT_BYTES])
{
    const struct passo_score_ask ask = plain_ask();
    const char *path = in_folder("score");
    FILE *file = fopen(path, "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(bytes, 1, count, file), count);
    assert_int_equal(fclose(file), 0);
    fault[0] = '\0';
    const enum passo_error error = passo_score_load(path, &ask, score, fault, FAULT_BYTES);
    assert_int_equal(unlink(path), 0);
    return error;
}

static void expect_one_note(const void *bytes, size_t count, bool sounding)
{
    struct passo_score score;
    char fault[FAULT_BYTES];
    if (load(bytes, count, &score, fault))
        fail_msg("%s", fault);
    assert_int_equal(score.notes, 1);
    assert_int_equal(passo_pitch_midi(score.note[0].pitch), 67);
    assert_int_equal(score.sounding, sounding);
    passo_score_deinit(&score);
}

static void reads_abc(void **state)
{
    (void)state;
    static const char tune[] = "X:1\nL:1/4\nK:C\nG4|\n";
    expect_one_note(tune, sizeof tune - 1, false);
    expect_one_note("G8", 2, false);
}

/* A Standard MIDI File of one track, format 0: one quarter note, G 4 (the format from memory). */
static void reads_midi(void **state)
{
    (void)state;
    static const uint8_t file[] = {'M', 'T', 'h', 'd',  0,   0,   0, 6,    0,    0,  0, 1,
                                   0,   96,  'M', 'T',  'r', 'k', 0, 0,    0,    12, 0, 0x90,
                                   67,  80,  96,  0x80, 67,  0,   0, 0xFF, 0x2F, 0};
    expect_one_note(file, sizeof file, true);
}

static const char xml[] =
    "<score-partwise version=\"4.0\"><part-list><score-part id=\"P1\"><part-name>Cornet</part-name>"
    "</score-part></part-list><part id=\"P1\"><measure number=\"1\"><attributes><divisions>1"
    "</divisions><time><beats>4</beats><beat-type>4</beat-type></time></attributes><note><pitch>"
    "<step>G</step><octave>4</octave></pitch><duration>4</duration></note></measure></part>"
    "</score-partwise>";

static void reads_musicxml(void **state)
{
    (void)state;
    char text[sizeof xml + 64];
    expect_one_note(xml, sizeof xml - 1, false);
    snprintf(text, sizeof text, "\xEF\xBB\xBF\n <?xml version=\"1.0\"?>\n%s", xml);
    /* XML's own declaration stands first, or there is none. */
    struct passo_score score;
    char fault[FAULT_BYTES];
    assert_int_equal(load(text, strlen(text), &score, fault), PASSO_ERR_SYNTAX);
    snprintf(text, sizeof text, "\xEF\xBB\xBF<?xml version=\"1.0\"?>\n%s", xml);
    expect_one_note(text, strlen(text), false);
}

/* What begins as a packed file is read as one, and its own sentence is kept. */
static void tells_packed_files(void **state)
{
    (void)state;
    struct passo_score score;
    char fault[FAULT_BYTES];
    assert_int_not_equal(load("PK\3\4 no more", 12, &score, fault), PASSO_OK);
    assert_true(fault[0] && !strstr(fault, "column"));
    assert_null(score.note);
}

static void keeps_the_readers_sentence(void **state)
{
    (void)state;
    struct passo_score score;
    char fault[FAULT_BYTES];
    assert_int_equal(load("C8|D8|?", 7, &score, fault), PASSO_ERR_SYNTAX);
    assert_non_null(strstr(fault, "bar 3, column 7: \"?\""));
    assert_int_equal(load("", 0, &score, fault), PASSO_ERR_SYNTAX);
    assert_non_null(strstr(fault, "there is no music in it"));
}

static void expect_fault(const char *path, const char *wanted)
{
    const struct passo_score_ask ask = plain_ask();
    struct passo_score score;
    char fault[FAULT_BYTES] = "";
    assert_int_equal(passo_score_load(path, &ask, &score, fault, sizeof fault), PASSO_ERR_FILE);
    assert_string_equal(fault, wanted);
    assert_null(score.note);
}

static void names_what_is_no_file(void **state)
{
    (void)state;
    expect_fault(in_folder("none"), "there is no such file");
    expect_fault(folder, "this is a folder; name a file in it");
    expect_fault("/dev/null", "this is a pipe or a device; name an ordinary file");
    const char *fifo = in_folder("pipe");
    assert_int_equal(mkfifo(fifo, 0600), 0);
    expect_fault(fifo, "this is a pipe or a device; name an ordinary file");
    assert_int_equal(unlink(fifo), 0);
    struct sockaddr_un at = {.sun_family = AF_UNIX};
    const int ear = socket(AF_UNIX, SOCK_STREAM, 0);
    snprintf(at.sun_path, sizeof at.sun_path, "%s/ear", folder);
    assert_int_equal(bind(ear, (struct sockaddr *)&at, sizeof at), 0);
    expect_fault(at.sun_path, "this is a socket or a device; name an ordinary file");
    close(ear);
    assert_int_equal(unlink(at.sun_path), 0);
}

/* Eight MiB are read, a byte more is not. The file is all holes. */
static void keeps_to_its_size(void **state)
{
    (void)state;
    const struct passo_score_ask ask = plain_ask();
    struct passo_score score;
    char fault[FAULT_BYTES] = "";
    const char *path = in_folder("large");
    FILE *file = fopen(path, "wb");
    assert_non_null(file);
    assert_int_equal(ftruncate(fileno(file), PASSO_SCORE_BYTES_MAX), 0);
    assert_int_equal(passo_score_load(path, &ask, &score, fault, sizeof fault), PASSO_ERR_SYNTAX);
    assert_int_equal(ftruncate(fileno(file), PASSO_SCORE_BYTES_MAX + 1), 0);
    fclose(file);
    expect_fault(path, "this file is larger than 8 MiB; the score of one piece is wanted");
    assert_int_equal(unlink(path), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reads_abc),
        cmocka_unit_test(reads_midi),
        cmocka_unit_test(reads_musicxml),
        cmocka_unit_test(tells_packed_files),
        cmocka_unit_test(keeps_the_readers_sentence),
        cmocka_unit_test(names_what_is_no_file),
        cmocka_unit_test(keeps_to_its_size),
    };
    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
