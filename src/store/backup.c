/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file backup.c  A whole copy while others go on writing: made aside, checked, synced, then given its name. */
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "store/internal.h"

static const char BACKING_UP[] = "The backup";

/** A backup on its way: the file aside, and how sentences show where it goes. */
struct copy {
    const char *to;
    char aside[STORE_PATH_CAP + 32];
    char shown[200];
};

static enum status say_existing(const struct copy *c, struct err *e)
{
    return err_set(e, ST_EXISTS, "%s is already there and was left as it is. Name a new file for the backup.", c->shown);
}

/** The sentences of the store speak of what is kept in it; a copy's own say where the copy would have gone. */
static enum status say_copy(const struct copy *c, int system_errno, struct err *e)
{
    switch (system_errno) {
    case ENOENT:
    case ENOTDIR:
        return err_set(e, ST_NOT_FOUND, "The backup was not made: the folder of %s is not there. Create it first.",
                       c->shown);
    case EACCES:
    case EPERM:
        return err_set(e, ST_PERMISSION,
                       "The backup was not made: the system does not let you write %s. Name another folder.", c->shown);
    case EROFS:
        return err_set(e, ST_READ_ONLY, "The backup was not made: %s lies on a read-only medium. Name another folder.",
                       c->shown);
    case ENOSPC:
    case EDQUOT:
    case EFBIG:
        return err_set(e, ST_FULL,
                       "The backup was not made: there is no room for %s. Make room or name another disk; the store "
                       "itself is untouched.",
                       c->shown);
    default:
        return err_set(e, ST_IO,
                       "The backup was not made: %s cannot be written (%s). Name another place; the store itself is "
                       "untouched.",
                       c->shown, strerror(system_errno));
    }
}

static enum status say_sqlite(const struct copy *c, sqlite3 *db, int rc, struct err *e)
{
    int system_errno = sqlite3_system_errno(db);
    if ((rc & 0xFF) == SQLITE_FULL)
        system_errno = ENOSPC;
    if ((rc & 0xFF) == SQLITE_FULL || (rc & 0xFF) == SQLITE_IOERR || (rc & 0xFF) == SQLITE_CANTOPEN)
        return say_copy(c, system_errno ? system_errno : EIO, e);
    return store_say(c->shown, rc, system_errno, BACKING_UP, e);
}

static enum status copy_pages(struct store *st, const struct copy *c, sqlite3 *db, struct err *e)
{
    sqlite3_backup *b = sqlite3_backup_init(db, "main", st->db, "main");
    if (!b)
        return say_sqlite(c, db, sqlite3_errcode(db), e);
    int rc, waited_ms = 0;
    /* All pages in one go: in a write-ahead log the reader keeps no writer waiting, and the copy is of one moment. */
    while ((rc = sqlite3_backup_step(b, -1)) == SQLITE_BUSY || rc == SQLITE_LOCKED) {
        if (waited_ms >= STORE_BUSY_MS)
            break;
        sqlite3_sleep(10);
        waited_ms += 10;
    }
    int finished = sqlite3_backup_finish(b);
    if (rc != SQLITE_DONE || finished != SQLITE_OK)
        return say_sqlite(c, db, rc != SQLITE_DONE ? rc : finished, e);
    return ST_OK;
}

/** Make the copy one file that can be read anywhere, and see that it is whole. */
static enum status settle(const struct copy *c, sqlite3 *db, struct err *e)
{
    int rc = sqlite3_exec(db, "PRAGMA journal_mode = DELETE", NULL, NULL, NULL);
    sqlite3_stmt *s = NULL;
    bool is_whole = false;
    if (rc == SQLITE_OK)
        rc = sqlite3_prepare_v2(db, "PRAGMA quick_check(1)", -1, &s, NULL);
    if (rc == SQLITE_OK) {
        rc = sqlite3_step(s);
        is_whole = rc == SQLITE_ROW && strcmp((const char *)sqlite3_column_text(s, 0), "ok") == 0;
        rc = rc == SQLITE_ROW ? SQLITE_OK : rc;
    }
    sqlite3_finalize(s);
    if (rc != SQLITE_OK)
        return say_sqlite(c, db, rc, e);
    if (!is_whole)
        return err_set(e, ST_CORRUPT,
                       "The backup %s was not made: the copy is damaged, and so perhaps is the store. Run 'stillarm "
                       "verify'.",
                       c->shown);
    return ST_OK;
}

static enum status fill(struct store *st, const struct copy *c, struct err *e)
{
    sqlite3 *db = NULL;
    int rc = sqlite3_open_v2(c->aside, &db, SQLITE_OPEN_READWRITE | SQLITE_OPEN_NOMUTEX, NULL);
    enum status status = rc == SQLITE_OK ? ST_OK : say_sqlite(c, db, rc, e);
    if (status == ST_OK)
        status = copy_pages(st, c, db, e);
    if (status == ST_OK)
        status = settle(c, db, e);
    sqlite3_close(db);
    return status;
}

static int sync_path(const char *path, int flags)
{
    int fd = open(path, flags | O_CLOEXEC);
    if (fd < 0)
        return errno;
    int failed = fsync(fd) == 0 ? 0 : errno;
    (void)close(fd);
    return failed;
}

/** Give the copy its name, never over an existing file; a link does that in one act, where a disk knows links. */
static enum status give_name(const struct copy *c, struct err *e)
{
    int failed = sync_path(c->aside, O_RDONLY);
    if (failed)
        return say_copy(c, failed, e);
    if (link(c->aside, c->to) == 0) {
        (void)unlink(c->aside);
    } else if (errno == EEXIST) {
        return say_existing(c, e);
    } else {
        struct stat s;
        if (lstat(c->to, &s) == 0)
            return say_existing(c, e);
        if (rename(c->aside, c->to) != 0)
            return say_copy(c, errno, e);
    }
    char folder[STORE_PATH_CAP];
    snprintf(folder, sizeof folder, "%s", c->to);
    char *slash = strrchr(folder, '/');
    if (slash)
        slash[slash == folder ? 1 : 0] = '\0';
    (void)sync_path(slash ? folder : ".", O_RDONLY | O_DIRECTORY);
    return ST_OK;
}

static void drop_aside(const struct copy *c)
{
    char journal[sizeof c->aside + 16];
    static const char *const SUFFIXES[] = {"", "-journal", "-wal", "-shm"};
    for (size_t i = 0; i < ARRAY_LEN(SUFFIXES); i++) {
        snprintf(journal, sizeof journal, "%s%s", c->aside, SUFFIXES[i]);
        (void)unlink(journal);
    }
}

enum status store_backup(struct store *st, const char *to, struct err *e)
{
    struct copy c = {.to = to};
    struct stat s;
    if (to[0] == '\0')
        return err_set(e, ST_USAGE, "The backup has no name: give a file.");
    store_show_path(to, c.shown, sizeof c.shown);
    if (strlen(to) + 32 > STORE_PATH_CAP)
        return err_set(e, ST_RANGE, "The path of the backup is too long: %s", c.shown);
    if (lstat(to, &s) == 0)
        return say_existing(&c, e);
    snprintf(c.aside, sizeof c.aside, "%s%s.part-%ld", to[0] == '/' ? "" : "./", to, (long)getpid());
    drop_aside(&c); /* of an earlier process with our number that was killed */
    int fd = open(c.aside, O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
    if (fd < 0)
        return say_copy(&c, errno, e);
    (void)close(fd);
    enum status status = fill(st, &c, e);
    if (status == ST_OK)
        status = give_name(&c, e);
    if (status != ST_OK)
        drop_aside(&c);
    return status;
}
