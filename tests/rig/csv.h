/* One column of passo's session CSV, read by the rig's own reader of RFC 4180. */
#ifndef RIG_CSV_H
#define RIG_CSV_H

/* Calls `take` with each cell of column `name`, in order, unquoted. Records are one line each.
 * Returns how many rows; -1 with a line on stderr if there is no such file or column, or if a row
 * has not as many cells as the header or no line end. */
int rig_csv_column(const char *path, const char *name, void (*take)(const char *cell, void *data),
                   void *data);

#endif
