/* XML that may be hostile, element by element. Nothing outside the text is ever fetched; entities
 * of the file's own, deep nesting and giant tags are refused. Thread: any. */
#ifndef PASSO_SCORE_XML_H
#define PASSO_SCORE_XML_H

#include "score/score_priv.h"

enum { XML_DEPTH_MAX = 64, XML_TEXT_MAX = 256 };

struct xml_reading;

/* The element's name and, at its end, the text since the last tag: at most XML_TEXT_MAX - 1 bytes
 * of it, one blank where several or line ends stand, none at its ends. Attributes go in pairs, the
 * last is NULL. */
struct xml_taker {
    void (*begin)(void *user, const char *name, const char **attribute);
    void (*end)(void *user, const char *name, const char *text);
    void *user;
};

/* False: a fault. `out_reading` may be used by the taker while it is called. */
bool xml_read(const char *text, size_t bytes, const struct xml_taker *taker,
              struct xml_reading **out_reading, struct score_builder *build);
/* Tells "line N: ..." and reads no further. What is quoted need not be safe to show: all that is
 * not ASCII becomes '?'. */
__attribute__((format(printf, 3, 4))) bool
xml_fault(struct xml_reading *reading, enum passo_error error, const char *format, ...);
/* The value of an attribute, "" if it is not there. */
const char *xml_attribute(const char **attribute, const char *name);

#endif
