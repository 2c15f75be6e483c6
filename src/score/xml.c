/* XML, element by element, with expat. The text is handed to it in pieces: a tag that is longer
 * than several of them is refused before it costs more than it weighs. */
#include "score/xml.h"

#include <expat.h>
#include <stdarg.h>
#include <string.h>

enum { PIECE_BYTES = 32 * 1024, TAG_PIECES_MAX = 4, SENTENCE_BYTES = 512 };

struct xml_reading {
    XML_Parser parser;
    const struct xml_taker *taker;
    struct score_builder *build;
    int depth;
    char text[XML_TEXT_MAX];
    size_t used;
};

bool xml_fault(struct xml_reading *reading, enum passo_error error, const char *format, ...)
{
    char sentence[SENTENCE_BYTES];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(sentence, sizeof sentence, format, arguments);
    va_end(arguments);
    for (char *at = sentence; *at; at++) {
        if (*at < ' ' || *at > '~')
            *at = '?';
    }
    XML_StopParser(reading->parser, XML_FALSE);
    return score_fault(reading->build, error, "line %lu: %s",
                       (unsigned long)XML_GetCurrentLineNumber(reading->parser), sentence);
}

const char *xml_attribute(const char **attribute, const char *name)
{
    for (; attribute[0]; attribute += 2) {
        if (strcmp(attribute[0], name) == 0)
            return attribute[1];
    }
    return "";
}

/* --- what expat calls; after a fault it may still do so --- */

static void on_begin(void *user, const XML_Char *name, const XML_Char **attribute)
{
    struct xml_reading *reading = user;
    reading->used = 0;
    if (reading->build->error != PASSO_OK)
        return;
    if (++reading->depth > XML_DEPTH_MAX) {
        xml_fault(reading, PASSO_ERR_RANGE, "elements in more than %d others; no score has that",
                  XML_DEPTH_MAX);
        return;
    }
    reading->taker->begin(reading->taker->user, name, attribute);
}

/* Blanks and line ends between two words are one blank. */
static void on_text(void *user, const XML_Char *text, int bytes)
{
    struct xml_reading *reading = user;
    for (int i = 0; i < bytes && reading->used + 1 < sizeof reading->text; i++) {
        const bool blank = text[i] == ' ' || text[i] == '\n' || text[i] == '\t' || text[i] == '\r';
        const bool after = !reading->used || reading->text[reading->used - 1] == ' ';
        if (!blank || !after)
            reading->text[reading->used++] = blank ? ' ' : text[i];
    }
}

static void on_end(void *user, const XML_Char *name)
{
    struct xml_reading *reading = user;
    if (reading->used && reading->text[reading->used - 1] == ' ')
        reading->used--;
    reading->text[reading->used] = '\0';
    reading->depth--;
    if (reading->build->error == PASSO_OK)
        reading->taker->end(reading->taker->user, name, reading->text);
    reading->used = 0;
}

static void on_entity(void *user, const XML_Char *name, int is_parameter, const XML_Char *value,
                      int bytes, const XML_Char *base, const XML_Char *system,
                      const XML_Char *public, const XML_Char *notation)
{
    (void)name;
    (void)is_parameter;
    (void)value;
    (void)bytes;
    (void)base;
    (void)system;
    (void)public;
    (void)notation;
    xml_fault(user, PASSO_ERR_SYNTAX,
              "the file declares entities of its own; save it again without them");
}

static bool feed(struct xml_reading *reading, const char *text, size_t bytes)
{
    for (size_t fed = 0; fed < bytes;) {
        const size_t piece = bytes - fed < PIECE_BYTES ? bytes - fed : PIECE_BYTES;
        const bool last = fed + piece == bytes;
        const enum XML_Status status = XML_Parse(reading->parser, text + fed, (int)piece, last);
        fed += piece;
        if (reading->build->error != PASSO_OK)
            return false;
        if (status != XML_STATUS_OK)
            return xml_fault(reading, PASSO_ERR_SYNTAX, "this is no XML: %s",
                             XML_ErrorString(XML_GetErrorCode(reading->parser)));
        const XML_Index at = XML_GetCurrentByteIndex(reading->parser);
        if (!last && at >= 0 && fed - (size_t)at > (size_t)TAG_PIECES_MAX * PIECE_BYTES)
            return xml_fault(reading, PASSO_ERR_RANGE,
                             "a tag or a comment of more than %d KiB; no score has that",
                             TAG_PIECES_MAX * PIECE_BYTES / 1024);
    }
    return true;
}

bool xml_read(const char *text, size_t bytes, const struct xml_taker *taker,
              struct xml_reading **out_reading, struct score_builder *build)
{
    struct xml_reading reading = {.taker = taker, .build = build};
    if (!bytes)
        return score_fault(build, PASSO_ERR_SYNTAX, "line 1: the file is empty");
    reading.parser = XML_ParserCreate(NULL);
    if (!reading.parser)
        passo_out_of_memory();
    *out_reading = &reading;
    XML_SetUserData(reading.parser, &reading);
    XML_SetElementHandler(reading.parser, on_begin, on_end);
    XML_SetCharacterDataHandler(reading.parser, on_text);
    XML_SetEntityDeclHandler(reading.parser, on_entity);
    const bool good = feed(&reading, text, bytes);
    XML_ParserFree(reading.parser);
    *out_reading = NULL;
    return good;
}
