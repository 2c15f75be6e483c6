/* The bytes of a page of text, or why there are none. */
#include "score/bytes.h"
#include "text/lines.h"
#include "text/notation.h"

#define PAGE_BYTES_MAX (1u << 20)

static const char too_large[] =
    "this file is larger than 1 MiB; what is read here is a page of text";

char *page_load(const char *path, size_t *out_bytes, struct passo_faults *faults)
{
    char shown[PASSO_PATH_BYTES];
    const char *why = NULL;
    char *bytes = passo_bytes_load(path, PAGE_BYTES_MAX, too_large, out_bytes, &why);
    if (bytes)
        return bytes;
    passo_text_clean(path, shown, sizeof shown);
    passo_fault(faults, "%s: %s", *shown ? shown : "\"\"", why);
    return NULL;
}
