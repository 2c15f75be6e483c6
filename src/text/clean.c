/* Untrusted text made safe to show: a title may come from a downloaded file, and a terminal obeys
 * control characters. */
#include "text/notation.h"
#include "text/scan.h"

#include <string.h>

/* Characters that move the cursor, turn the writing's direction or start a new line. */
static bool unsafe(uint32_t code)
{
    return code < 0x20 || (code >= 0x7F && code < 0xA0) || code == 0x61C || code == 0x200E ||
           code == 0x200F || (code >= 0x2028 && code <= 0x202E) ||
           (code >= 0x2066 && code <= 0x2069) || code == 0xFEFF;
}

const char *passo_text_clean(const char *text, char *out, size_t bytes)
{
    size_t used = 0;
    if (!bytes)
        return out;
    while (*text) {
        uint32_t code = 0;
        size_t length = scan_utf8(text, &code);
        bool good = length && !unsafe(code);
        size_t shown = good ? length : 1;
        if (used + shown >= bytes)
            break;
        if (good)
            memcpy(out + used, text, length);
        else
            out[used] = '?';
        used += shown;
        text += length ? length : 1;
    }
    out[used] = '\0';
    return out;
}
