#include "support/check.h"

#include "base/file.h"
#include "base/memory.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

static char folder[] = "/tmp/check-file-XXXXXX";

static const char *in_folder(const char *name)
{
    static char paths[4][300];
    static unsigned turn;
    char *path = paths[turn++ % 4];
    snprintf(path, sizeof paths[0], "%s/%s", folder, name);
    return path;
}

static void read_back(const char *path, char *out, size_t size)
{
    FILE *file = fopen(path, "r");
    size_t n = file ? fread(out, 1, size - 1, file) : 0;
    out[n] = '\0';
    if (file)
        fclose(file);
}

static size_t count_entries(void)
{
    size_t n = 0;
    DIR *entries = opendir(folder);
    for (struct dirent *entry; entries && (entry = readdir(entries));)
        n += entry->d_name[0] != '.' || strlen(entry->d_name) > 2;
    if (entries)
        closedir(entries);
    return n;
}

static void replaces_whole(void)
{
    struct problem problem;
    char text[100];
    const char *path = in_folder("a.csv");
    CU_ASSERT_EQUAL(file_replace(path, "one\n", 4, &problem), STATUS_OK);
    CU_ASSERT_EQUAL(chmod(path, 0640), 0);
    CU_ASSERT_EQUAL(file_replace(path, "two two\n", 8, &problem), STATUS_OK);
    read_back(path, text, sizeof text);
    check_text(text, "two two\n");
    struct stat entry;
    CU_ASSERT_EQUAL(stat(path, &entry), 0);
    CU_ASSERT_EQUAL(entry.st_mode & 07777, 0640);
    CU_ASSERT_EQUAL(count_entries(), 1);
}

/* Each write, sync and rename failed in turn: the old content stands, or the new one whole; no litter. */
static void survives_each_failure(void)
{
    struct problem problem;
    char text[100];
    const char *path = in_folder("a.csv");
    file_fail_at(0, false, 0);
    CU_ASSERT_EQUAL(file_replace(path, "old\n", 4, &problem), STATUS_OK);
    unsigned long n_calls = file_calls();
    CU_ASSERT(n_calls >= 4);
    for (unsigned long n = 1; n <= n_calls; n++) {
        file_fail_at(n, true, ENOSPC);
        enum status status = file_replace(path, "new\n", 4, &problem);
        file_fail_at(0, false, 0);
        CU_ASSERT_EQUAL(status, STATUS_IO);
        CU_ASSERT(strstr(problem.text, strerror(ENOSPC)) != NULL);
        read_back(path, text, sizeof text);
        check_text(text, n == n_calls ? "new\n" : "old\n"); /* the last is the folder's sync, after the rename */
        CU_ASSERT_EQUAL(count_entries(), 1);
    }
    file_fail_at(1, false, EINTR);
    CU_ASSERT_EQUAL(file_replace(path, "after a signal\n", 15, &problem), STATUS_OK);
    file_fail_at(0, false, 0);
}

static enum status replace_three(const char *content)
{
    static const char *const names[] = { "a.csv", "b.csv", "c.csv" };
    struct problem problem;
    struct file_batch batch = { 0 };
    enum status status = STATUS_OK;
    for (size_t i = 0; status == STATUS_OK && i < 3; i++)
        status = file_batch_add(&batch, in_folder(names[i]), content, strlen(content), &problem);
    if (status == STATUS_OK)
        return file_batch_finish(&batch, &problem);
    file_batch_drop(&batch);
    return status;
}

/* Three at once, one call failing: every file whole, the old ones of all until the last is on the disk; no litter. */
static void replaces_several(void)
{
    char text[3][100];
    file_fail_at(0, false, 0);
    CU_ASSERT_EQUAL(replace_three("old\n"), STATUS_OK);
    CU_ASSERT_EQUAL(file_calls(), 3 + 3 + 3 + 1); /* writes, syncs, renames, one folder */
    CU_ASSERT_EQUAL(count_entries(), 3);
    for (unsigned long n = 1; n <= 10; n++) {
        CU_ASSERT_EQUAL(replace_three("old\n"), STATUS_OK);
        file_fail_at(n, false, ENOSPC);
        CU_ASSERT_EQUAL(replace_three("new\n"), STATUS_IO);
        file_fail_at(0, false, 0);
        read_back(in_folder("a.csv"), text[0], sizeof text[0]);
        read_back(in_folder("b.csv"), text[1], sizeof text[1]);
        read_back(in_folder("c.csv"), text[2], sizeof text[2]);
        check_text(text[0], n > 7 ? "new\n" : "old\n"); /* calls 7, 8 and 9 rename */
        check_text(text[1], n > 8 ? "new\n" : "old\n");
        check_text(text[2], n > 9 ? "new\n" : "old\n");
        CU_ASSERT_EQUAL(count_entries(), 3);
    }
    unlink(in_folder("b.csv"));
    unlink(in_folder("c.csv"));
}

/* Memory that runs out on the way leaves what was there, or all the new ones when only the folder was still to be synced. */
static void several_without_memory(void)
{
    char text[100];
    CU_ASSERT_EQUAL(replace_three("old\n"), STATUS_OK);
    for (unsigned long n = 1;; n++) {
        memory_fail_at(n, false);
        enum status status = replace_three("new\n");
        memory_fail_at(0, false);
        if (status == STATUS_OK)
            break;
        CU_ASSERT_EQUAL_FATAL(status, STATUS_MEMORY);
        read_back(in_folder("a.csv"), text, sizeof text);
        bool renamed = strcmp(text, "new\n") == 0;
        read_back(in_folder("c.csv"), text, sizeof text);
        check_text(text, renamed ? "new\n" : "old\n");
        CU_ASSERT_EQUAL(count_entries(), 3);
    }
    unlink(in_folder("b.csv"));
    unlink(in_folder("c.csv"));
}

static void writes_in_passing(void)
{
    struct problem problem;
    char text[100];
    const char *path = in_folder("passing");
    CU_ASSERT_EQUAL(file_write_passing(path, "a longer line\n", 14, &problem), STATUS_OK);
    CU_ASSERT_EQUAL(file_write_passing(path, "short\n", 6, &problem), STATUS_OK);
    read_back(path, text, sizeof text);
    check_text(text, "short\n");
    file_fail_at(1, false, ENOSPC);
    CU_ASSERT_EQUAL(file_write_passing(path, "x", 1, &problem), STATUS_IO);
    file_fail_at(0, false, 0);
    CU_ASSERT(strstr(problem.text, strerror(ENOSPC)) != NULL);
    CU_ASSERT_EQUAL(file_write_passing(in_folder("none/a"), "x", 1, &problem), STATUS_IO);
    unlink(path);
}

static void follows_a_link(void)
{
    struct problem problem;
    char text[100];
    const char *real = in_folder("a.csv"), *link = in_folder("link.csv");
    CU_ASSERT_EQUAL(symlink("a.csv", link), 0);
    CU_ASSERT_TRUE(file_same(real, link));
    CU_ASSERT_EQUAL(file_replace(link, "through\n", 8, &problem), STATUS_OK);
    struct stat entry;
    CU_ASSERT(lstat(link, &entry) == 0 && S_ISLNK(entry.st_mode));
    read_back(real, text, sizeof text);
    check_text(text, "through\n");
    unlink(link);
}

static void refuses_folders_and_full_devices(void)
{
    struct problem problem;
    CU_ASSERT_EQUAL(file_replace(folder, "x", 1, &problem), STATUS_IO);
    CU_ASSERT_EQUAL(file_replace(in_folder("none/a.csv"), "x", 1, &problem), STATUS_IO);
    CU_ASSERT_EQUAL(file_replace("/dev/full", "x", 1, &problem), STATUS_IO);
    CU_ASSERT_EQUAL(file_replace("/dev/null", "x", 1, &problem), STATUS_OK);
    struct stat entry;
    CU_ASSERT(stat("/dev/null", &entry) == 0 && S_ISCHR(entry.st_mode));
}

static void makes_folders(void)
{
    struct problem problem;
    CU_ASSERT_EQUAL(file_make_folder(in_folder("x/y/z"), &problem), STATUS_OK);
    CU_ASSERT_EQUAL(file_make_folder(in_folder("x/y/z/"), &problem), STATUS_OK);
    struct stat entry;
    CU_ASSERT(stat(in_folder("x/y/z"), &entry) == 0 && S_ISDIR(entry.st_mode));
    CU_ASSERT_EQUAL(file_make_folder(in_folder("a.csv"), &problem), STATUS_IO);
    CU_ASSERT_EQUAL(file_make_folder(in_folder("a.csv/b"), &problem), STATUS_IO);
    rmdir(in_folder("x/y/z"));
    rmdir(in_folder("x/y"));
    rmdir(in_folder("x"));
}

static void tells_files_apart(void)
{
    CU_ASSERT_FALSE(file_same(in_folder("a.csv"), folder));
    CU_ASSERT_FALSE(file_same(in_folder("a.csv"), in_folder("missing")));
    CU_ASSERT_TRUE(file_same(in_folder("a.csv"), in_folder("./a.csv")));
}

int main(void)
{
    static const struct check_case cases[] = {
        { "replaces whole", replaces_whole },
        { "survives each failure", survives_each_failure },
        { "several at once", replaces_several },
        { "several at once without memory", several_without_memory },
        { "in passing", writes_in_passing },
        { "follows a link", follows_a_link },
        { "refuses folders and full devices", refuses_folders_and_full_devices },
        { "makes folders", makes_folders },
        { "tells files apart", tells_files_apart },
    };
    if (!mkdtemp(folder))
        return 2;
    int result = check_run("file", cases, sizeof cases / sizeof cases[0]);
    unlink(in_folder("a.csv"));
    rmdir(folder);
    return result;
}
