#include "whole_file.h"

#include <cerrno>
#include <cstdio>
#include <cstring>

#include <fcntl.h>
#include <unistd.h>

#include <fmt/format.h>

namespace ringland::model {
namespace {

/// Writes and syncs; 0 or the error number.
int write_all(int descriptor, const char* bytes, std::size_t size) {
    while (size > 0) {
        const ssize_t written = ::write(descriptor, bytes, size);
        if (written < 0 && errno == EINTR) continue;
        if (written < 0) return errno;
        bytes += written;
        size -= static_cast<std::size_t>(written);
    }
    return ::fsync(descriptor) == 0 || errno == EINVAL ? 0 : errno;
}

} // namespace

std::string write_whole_file(const std::filesystem::path& file, const void* bytes, std::size_t size) {
    const auto complaint = [&file](int error) {
        return fmt::format("cannot write {}: {}", file.string(), std::strerror(error));
    };
    std::error_code ignored;
    if (std::filesystem::is_directory(file, ignored)) return complaint(EISDIR);
    // The process number keeps two programs that write the same file apart; O_EXCL refuses a link planted there.
    const std::string beside = fmt::format("{}.{}.part", file.string(), ::getpid());
    ::unlink(beside.c_str());
    const int descriptor = ::open(beside.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    if (descriptor < 0) return complaint(errno);
    int error = write_all(descriptor, static_cast<const char*>(bytes), size);
    if (::close(descriptor) != 0 && error == 0) error = errno;
    if (error == 0 && std::rename(beside.c_str(), file.c_str()) != 0) error = errno;
    if (error == 0) return {};
    ::unlink(beside.c_str());
    return complaint(error);
}

} // namespace ringland::model
