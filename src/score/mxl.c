/* Packed MusicXML: a ZIP archive whose META-INF/container.xml names the score in it. Nothing is
 * written anywhere, so the names in it lead nowhere; and no more is unpacked than a score may have.
 */
#include "score/xml.h"

#include <stdlib.h>
#include <string.h>
#include <zip.h>

enum { CONTAINER_BYTES_MAX = 64 * 1024 };

struct container {
    struct xml_reading *xml;
    char path[XML_TEXT_MAX]; /* of the first root file that is MusicXML */
};

static void on_begin(void *user, const char *name, const char **attribute)
{
    struct container *container = user;
    const char *type = xml_attribute(attribute, "media-type");
    const char *path = xml_attribute(attribute, "full-path");
    const bool score = !type[0] || strcmp(type, "application/vnd.recordare.musicxml+xml") == 0 ||
                       strcmp(type, "application/vnd.recordare.musicxml") == 0 ||
                       strcmp(type, "text/xml") == 0 || strcmp(type, "application/xml") == 0;
    if (strcmp(name, "rootfile") == 0 && score && !container->path[0] &&
        strlen(path) < sizeof container->path)
        memcpy(container->path, path, strlen(path) + 1);
}

static void on_end(void *user, const char *name, const char *text)
{
    (void)user;
    (void)name;
    (void)text;
}

/* All that comes, at most `bytes` of it. False: not to be unpacked, or more or less than that. */
static bool read_all(zip_file_t *file, char *text, size_t bytes)
{
    size_t used = 0;
    char more = 0;
    while (used < bytes) {
        const zip_int64_t got = zip_fread(file, text + used, bytes - used);
        if (got <= 0)
            return false;
        used += (size_t)got;
    }
    return zip_fread(file, &more, 1) == 0; /* at its end the check sum is looked at, too */
}

/* Unpacks one file of at most `most` bytes: as its entry says, and as it comes. */
static char *unpack(zip_t *archive, const char *name, size_t most, size_t *out_bytes,
                    struct score_builder *build)
{
    char shown[PASSO_TEXT_MAX];
    zip_stat_t about;
    score_text(name, strlen(name), shown);
    if (zip_stat(archive, name, 0, &about) != 0 || !(about.valid & ZIP_STAT_SIZE)) {
        score_fault(build, PASSO_ERR_SYNTAX,
                    "there is no \"%s\" in the archive; save it again as MusicXML", shown);
        return NULL;
    }
    if (about.size > most) {
        score_fault(build, PASSO_ERR_RANGE, "\"%s\" has %llu bytes; up to %zu can be read", shown,
                    (unsigned long long)about.size, most);
        return NULL;
    }
    *out_bytes = (size_t)about.size;
    zip_file_t *file = zip_fopen(archive, name, 0);
    char *text = passo_xcalloc(1, *out_bytes + 1);
    if (!file || !read_all(file, text, *out_bytes)) {
        score_fault(build, PASSO_ERR_SYNTAX,
                    "\"%s\" in the archive is damaged or locked; save it again as MusicXML", shown);
        free(text);
        text = NULL;
    }
    if (file)
        zip_fclose(file);
    return text;
}

static char *unpack_score(zip_t *archive, size_t *out_bytes, struct score_builder *build)
{
    struct container container = {0};
    const struct xml_taker taker = {.begin = on_begin, .end = on_end, .user = &container};
    size_t bytes = 0;
    char *text = unpack(archive, "META-INF/container.xml", CONTAINER_BYTES_MAX, &bytes, build);
    if (!text)
        return NULL;
    const bool good = xml_read(text, bytes, &taker, &container.xml, build);
    free(text);
    if (good && container.path[0])
        return unpack(archive, container.path, PASSO_SCORE_BYTES_MAX, out_bytes, build);
    score_fault(build, PASSO_ERR_SYNTAX,
                "META-INF/container.xml names no score; save it again as MusicXML");
    return NULL;
}

enum passo_error passo_mxl_unpack(const uint8_t *data, size_t bytes, char **out_text,
                                  size_t *out_bytes, char *out_fault, size_t fault_bytes)
{
    struct passo_score none;
    struct score_builder build;
    score_begin(&build, &none, out_fault, fault_bytes);
    zip_error_t error;
    zip_error_init(&error);
    zip_source_t *source = zip_source_buffer_create(data, bytes, 0, &error);
    if (!source)
        passo_out_of_memory();
    zip_t *archive = zip_open_from_source(source, ZIP_RDONLY, &error);
    *out_text = NULL;
    *out_bytes = 0;
    if (archive) {
        *out_text = unpack_score(archive, out_bytes, &build);
        zip_discard(archive);
    } else {
        zip_source_free(source);
        score_fault(&build, PASSO_ERR_SYNTAX, "the packed file cannot be opened: %.80s",
                    zip_error_strerror(&error));
    }
    zip_error_fini(&error);
    return score_end(&build);
}
