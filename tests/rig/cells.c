/* Prints one column of a session CSV in one line, for the rig's scripts.
 *
 *   rig_cells CSV COLUMN     ->  "138 144 150"
 *
 * Exit status 2 if the file is not a whole CSV with that column. */
#include "csv.h"

#include <stdio.h>

static void print(const char *cell, void *data)
{
    int *printed = data;
    printf("%s%s", (*printed)++ > 0 ? " " : "", *cell != '\0' ? cell : "-");
}

int main(int argc, char **argv)
{
    int printed = 0;
    if (argc != 3) {
        fputs("usage: rig_cells CSV COLUMN\n", stderr);
        return 2;
    }
    if (rig_csv_column(argv[1], argv[2], print, &printed) < 0)
        return 2;
    putchar('\n');
    return 0;
}
