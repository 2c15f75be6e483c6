/* Lists that grow while a file is read. */
#include "score/list.h"

#include <passo/error.h>

enum { ROOM_FIRST = 16 };

void *list_room(void *list, size_t count, size_t element_bytes)
{
    if (count == 0)
        return passo_xrealloc(list, ROOM_FIRST * element_bytes);
    if (count >= ROOM_FIRST && (count & (count - 1)) == 0)
        return passo_xrealloc(list, 2 * count * element_bytes);
    return list;
}
