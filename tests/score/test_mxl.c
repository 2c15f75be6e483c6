/* Packed MusicXML, packed here with libzip; and archives that are damaged or mean harm. */
#include "scores_text.h"

#include <zip.h>

static char fault[512];

static const char container[] = "<container><rootfiles>"
                                "<rootfile full-path='cover.png' media-type='image/png'/>"
                                "<rootfile full-path='music/march.musicxml' "
                                "media-type='application/vnd.recordare.musicxml+xml'/>"
                                "<rootfile full-path='other.xml'/></rootfiles></container>";

struct entry {
    const char *name;
    const char *text;
    size_t bytes; /* 0: to the text's end */
    bool locked;
};

/* An archive in memory, malloc()ed. */
static uint8_t *pack(const struct entry *entry, size_t entries, size_t *out_bytes)
{
    zip_error_t error;
    zip_error_init(&error);
    zip_source_t *source = zip_source_buffer_create(NULL, 0, 0, &error);
    assert_non_null(source);
    zip_source_keep(source);
    zip_t *archive = zip_open_from_source(source, ZIP_TRUNCATE, &error);
    assert_non_null(archive);
    for (size_t i = 0; i < entries; i++) {
        const size_t bytes = entry[i].bytes ? entry[i].bytes : strlen(entry[i].text);
        zip_source_t *text = zip_source_buffer(archive, entry[i].text, bytes, 0);
        const zip_int64_t index = zip_file_add(archive, entry[i].name, text, 0);
        assert_true(index >= 0);
        if (entry[i].locked)
            assert_int_equal(
                zip_file_set_encryption(archive, (zip_uint64_t)index, ZIP_EM_TRAD_PKWARE, "key"),
                0);
    }
    assert_int_equal(zip_close(archive), 0);
    assert_int_equal(zip_source_open(source), 0);
    zip_source_seek(source, 0, SEEK_END);
    *out_bytes = (size_t)zip_source_tell(source);
    zip_source_seek(source, 0, SEEK_SET);
    uint8_t *data = malloc(*out_bytes);
    assert_non_null(data);
    assert_int_equal(zip_source_read(source, data, *out_bytes), *out_bytes);
    zip_source_close(source);
    zip_source_free(source);
    zip_error_fini(&error);
    return data;
}

static void check_refused(const uint8_t *data, size_t bytes, enum passo_error wanted,
                          const char *sentence)
{
    char *text = NULL;
    size_t text_bytes = 1;
    assert_int_equal(passo_mxl_unpack(data, bytes, &text, &text_bytes, fault, sizeof fault),
                     wanted);
    assert_null(text);
    assert_true(strlen(fault) > 10 && fault[strlen(fault) - 1] != '.');
    if (!strstr(fault, sentence))
        fail_msg("\"%s\" says nothing of \"%s\"", fault, sentence);
}

static void check_packed(const struct entry *entry, size_t entries, enum passo_error wanted,
                         const char *sentence)
{
    size_t bytes = 0;
    uint8_t *data = pack(entry, entries, &bytes);
    check_refused(data, bytes, wanted, sentence);
    free(data);
}

static void test_the_score_that_is_named(void **state)
{
    (void)state;
    const struct entry entry[] = {{"other.xml", "<other/>", 0, false},
                                  {"music/march.musicxml", "<score-partwise/>", 0, false},
                                  {"cover.png", "no picture", 0, false},
                                  {"META-INF/container.xml", container, 0, false}};
    size_t bytes = 0;
    size_t text_bytes = 0;
    char *text = NULL;
    uint8_t *data = pack(entry, 4, &bytes);
    assert_int_equal(passo_mxl_unpack(data, bytes, &text, &text_bytes, fault, sizeof fault),
                     PASSO_OK);
    assert_string_equal(fault, "");
    assert_int_equal(text_bytes, 17);
    assert_memory_equal(text, "<score-partwise/>", 17);
    free(text);
    free(data);
}

static void test_what_is_not_there(void **state)
{
    (void)state;
    const struct entry no_container[] = {{"march.musicxml", "<score-partwise/>", 0, false}};
    check_packed(no_container, 1, PASSO_ERR_SYNTAX, "no \"META-INF/container.xml\"");
    const struct entry no_score[] = {{"META-INF/container.xml", container, 0, false}};
    check_packed(no_score, 1, PASSO_ERR_SYNTAX, "no \"music/march.musicxml\"");
    const struct entry no_name[] = {{"META-INF/container.xml", "<container/>", 0, false}};
    check_packed(no_name, 1, PASSO_ERR_SYNTAX, "names no score");
    const struct entry no_xml[] = {{"META-INF/container.xml", "<container>", 0, false}};
    check_packed(no_xml, 1, PASSO_ERR_SYNTAX, "this is no XML");
    const struct entry path[] = {
        {"META-INF/container.xml", "<c><rootfile full-path='../../../etc/passwd'/></c>", 0, false}};
    check_packed(path, 1, PASSO_ERR_SYNTAX, "no \"../../../etc/passwd\"");
    const struct entry locked[] = {{"META-INF/container.xml", container, 0, false},
                                   {"music/march.musicxml", "<score-partwise/>", 0, true}};
    check_packed(locked, 2, PASSO_ERR_SYNTAX, "damaged or locked");
    check_refused((const uint8_t *)"PK\3\4 and no more", 18, PASSO_ERR_SYNTAX, "cannot be opened");
    check_refused((const uint8_t *)"", 0, PASSO_ERR_SYNTAX, "META-INF"); /* an empty archive */
}

/* Nine megabytes of blanks in some kilobytes; and an entry that says that it is small. */
static void test_a_bomb(void **state)
{
    (void)state;
    const size_t long_bytes = PASSO_SCORE_BYTES_MAX + 1;
    char *blanks = malloc(long_bytes);
    assert_non_null(blanks);
    memset(blanks, ' ', long_bytes);
    const struct entry score[] = {{"META-INF/container.xml", container, 0, false},
                                  {"music/march.musicxml", blanks, long_bytes, false}};
    check_packed(score, 2, PASSO_ERR_RANGE, "up to 8388608 can be read");
    const struct entry first[] = {{"META-INF/container.xml", blanks, long_bytes, false}};
    check_packed(first, 1, PASSO_ERR_RANGE, "up to 65536 can be read");

    size_t bytes = 0;
    uint8_t *data = pack(score, 2, &bytes);
    size_t said = 0; /* PASSO_SCORE_BYTES_MAX + 1, little-endian, becomes 1 */
    for (size_t i = 0; i + 4 <= bytes; i++) {
        if (memcmp(data + i, "\1\0\x80\0", 4) == 0) {
            data[i + 2] = 0;
            said++;
        }
    }
    assert_true(said >= 1 && bytes < 100000);
    check_refused(data, bytes, PASSO_ERR_SYNTAX, "damaged");
    free(data);
    free(blanks);
}

/* Cut off anywhere, and with any one byte turned: refused, or what was packed. */
static void test_damage(void **state)
{
    (void)state;
    const struct entry entry[] = {{"META-INF/container.xml", container, 0, false},
                                  {"music/march.musicxml", "<score-partwise/>", 0, false}};
    size_t bytes = 0;
    uint8_t *data = pack(entry, 2, &bytes);
    for (size_t i = 0; i < bytes; i++) {
        check_refused(data, i, PASSO_ERR_SYNTAX, "");
        char *text = NULL;
        size_t text_bytes = 0;
        data[i] ^= 0x55;
        if (passo_mxl_unpack(data, bytes, &text, &text_bytes, fault, sizeof fault) == PASSO_OK) {
            assert_int_equal(text_bytes, 17);
            assert_memory_equal(text, "<score-partwise/>", 17);
        }
        data[i] ^= 0x55;
        free(text);
    }
    free(data);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_the_score_that_is_named),
        cmocka_unit_test(test_what_is_not_there),
        cmocka_unit_test(test_a_bomb),
        cmocka_unit_test(test_damage),
    };
    return cmocka_run_group_tests_name("score/mxl", tests, NULL, NULL);
}
