/* A disk that fails when it is told to: a layer over SQLite's own that counts writes, syncs,
 * truncations, openings and the growth of shared memory, and fails the N-th of them, once or from
 * there on. */
#ifndef PASSO_TESTS_STORE_LOG_DISK_H
#define PASSO_TESTS_STORE_LOG_DISK_H

#include <sqlite3.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

static struct {
    bool armed;
    int nth; /* from 1 */
    bool for_ever;
    bool full; /* the disk is full, rather than broken */
    int seen;  /* since it was armed */
} disk;

static inline void arm_disk(int nth, bool for_ever, bool full)
{
    disk.nth = nth;
    disk.for_ever = for_ever;
    disk.full = full;
    disk.seen = 0;
    disk.armed = true;
}

static inline bool disk_fails(void)
{
    if (!disk.armed)
        return false;
    disk.seen++;
    return disk.for_ever ? disk.seen >= disk.nth : disk.seen == disk.nth;
}

struct layer {
    sqlite3_file base;
    sqlite3_file *real; /* behind it */
};

static inline sqlite3_file *real_of(sqlite3_file *file)
{
    return ((struct layer *)file)->real;
}

#define PASS_ON(name, parameters, arguments)                                                       \
    static inline int layer_##name parameters                                                      \
    {                                                                                              \
        return real_of(file)->pMethods->name arguments;                                            \
    }

PASS_ON(xRead, (sqlite3_file * file, void *to, int bytes, sqlite3_int64 at),
        (real_of(file), to, bytes, at))
PASS_ON(xFileSize, (sqlite3_file * file, sqlite3_int64 *size), (real_of(file), size))
PASS_ON(xLock, (sqlite3_file * file, int lock), (real_of(file), lock))
PASS_ON(xUnlock, (sqlite3_file * file, int lock), (real_of(file), lock))
PASS_ON(xCheckReservedLock, (sqlite3_file * file, int *out), (real_of(file), out))
PASS_ON(xFileControl, (sqlite3_file * file, int op, void *arg), (real_of(file), op, arg))
PASS_ON(xSectorSize, (sqlite3_file * file), (real_of(file)))
PASS_ON(xDeviceCharacteristics, (sqlite3_file * file), (real_of(file)))
PASS_ON(xShmLock, (sqlite3_file * file, int from, int count, int flags),
        (real_of(file), from, count, flags))
PASS_ON(xShmUnmap, (sqlite3_file * file, int remove), (real_of(file), remove))
PASS_ON(xFetch, (sqlite3_file * file, sqlite3_int64 at, int bytes, void **out),
        (real_of(file), at, bytes, out))
PASS_ON(xUnfetch, (sqlite3_file * file, sqlite3_int64 at, void *page), (real_of(file), at, page))

static inline int layer_xClose(sqlite3_file *file)
{
    int rc = real_of(file)->pMethods->xClose(real_of(file));
    file->pMethods = NULL;
    return rc;
}

static inline int layer_xWrite(sqlite3_file *file, const void *from, int bytes, sqlite3_int64 at)
{
    if (!disk_fails())
        return real_of(file)->pMethods->xWrite(real_of(file), from, bytes, at);
    /* a disk that fills up takes the first part */
    if (bytes > 1)
        real_of(file)->pMethods->xWrite(real_of(file), from, bytes / 2, at);
    return disk.full ? SQLITE_FULL : SQLITE_IOERR_WRITE;
}

static inline int layer_xTruncate(sqlite3_file *file, sqlite3_int64 size)
{
    if (disk_fails())
        return SQLITE_IOERR_TRUNCATE;
    return real_of(file)->pMethods->xTruncate(real_of(file), size);
}

static inline int layer_xSync(sqlite3_file *file, int flags)
{
    if (disk_fails())
        return SQLITE_IOERR_FSYNC;
    return real_of(file)->pMethods->xSync(real_of(file), flags);
}

static inline int layer_xShmMap(sqlite3_file *file, int region, int bytes, int extend,
                                void volatile **out)
{
    if (extend && disk_fails())
        return disk.full ? SQLITE_IOERR_SHMSIZE : SQLITE_IOERR_SHMMAP;
    return real_of(file)->pMethods->xShmMap(real_of(file), region, bytes, extend, out);
}

static inline void layer_xShmBarrier(sqlite3_file *file)
{
    real_of(file)->pMethods->xShmBarrier(real_of(file));
}

static sqlite3_vfs *real_vfs;

static inline int layer_xOpen(sqlite3_vfs *vfs, sqlite3_filename name, sqlite3_file *file,
                              int flags, int *out_flags)
{
    static const sqlite3_io_methods methods = {.iVersion = 3,
                                               .xClose = layer_xClose,
                                               .xRead = layer_xRead,
                                               .xWrite = layer_xWrite,
                                               .xTruncate = layer_xTruncate,
                                               .xSync = layer_xSync,
                                               .xFileSize = layer_xFileSize,
                                               .xLock = layer_xLock,
                                               .xUnlock = layer_xUnlock,
                                               .xCheckReservedLock = layer_xCheckReservedLock,
                                               .xFileControl = layer_xFileControl,
                                               .xSectorSize = layer_xSectorSize,
                                               .xDeviceCharacteristics =
                                                   layer_xDeviceCharacteristics,
                                               .xShmMap = layer_xShmMap,
                                               .xShmLock = layer_xShmLock,
                                               .xShmBarrier = layer_xShmBarrier,
                                               .xShmUnmap = layer_xShmUnmap,
                                               .xFetch = layer_xFetch,
                                               .xUnfetch = layer_xUnfetch};
    struct layer *layer = (struct layer *)file;
    (void)vfs;
    file->pMethods = NULL;
    if (disk_fails())
        return SQLITE_CANTOPEN;
    layer->real = (sqlite3_file *)(layer + 1);
    int rc = real_vfs->xOpen(real_vfs, name, layer->real, flags, out_flags);
    if (rc == SQLITE_OK)
        file->pMethods = &methods;
    return rc;
}

/* From here on every file of SQLite lies on it. */
static inline void lay_disk(void)
{
    static sqlite3_vfs vfs;
    real_vfs = sqlite3_vfs_find(NULL);
    vfs = *real_vfs;
    vfs.zName = "failing";
    vfs.szOsFile = (int)sizeof(struct layer) + real_vfs->szOsFile;
    vfs.xOpen = layer_xOpen;
    sqlite3_vfs_register(&vfs, 1);
}

#endif
