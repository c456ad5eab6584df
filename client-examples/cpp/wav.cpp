#include "wav.hpp"

#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>

namespace takewright {

namespace {

constexpr int kPcm = 1;
constexpr int kFloat = 3;
constexpr int kExtensible = 0xFFFE;

struct Layout {
  v1::PcmEncoding encoding;
  int code;
  int bytes;
};
constexpr Layout kLayouts[] = {{v1::PCM_ENCODING_INT16, kPcm, 2},
                               {v1::PCM_ENCODING_INT24, kPcm, 3},
                               {v1::PCM_ENCODING_INT32, kPcm, 4},
                               {v1::PCM_ENCODING_FLOAT32, kFloat, 4}};

const Layout& layout(v1::PcmEncoding encoding) {
  for (const Layout& layout : kLayouts) {
    if (layout.encoding == encoding) return layout;
  }
  throw Problem("the audio's encoding is not known to this program");
}

uint64_t fromLittle(const unsigned char* bytes, int count) {
  uint64_t value = 0;
  for (int i = count - 1; i >= 0; i--) value = value << 8 | bytes[i];
  return value;
}

std::string little(uint64_t value, int count) {
  std::string bytes;
  for (int i = 0; i < count; i++) bytes += static_cast<char>(value >> 8 * i & 0xFF);
  return bytes;
}

}  // namespace

int frameBytes(const v1::PcmFormat& format) { return layout(format.encoding()).bytes * format.channels(); }

WavFile::WavFile(std::string path) : path_(std::move(path)) {
  File file(std::fopen(path_.c_str(), "rb"));
  struct stat status;
  if (!file || fstat(fileno(file.get()), &status) != 0) throw Problem(path_ + ": " + std::strerror(errno));
  if (!S_ISREG(status.st_mode)) throw Problem(path_ + " is not a file");
  const uint64_t size = status.st_size;
  auto read = [&](unsigned char* bytes, size_t count) {
    if (std::fread(bytes, 1, count, file.get()) < count) {
      throw Problem(path_ + " ends within its header; copy or export it again");
    }
  };
  unsigned char head[16];
  read(head, 12);
  const std::string form(reinterpret_cast<char*>(head), 4);
  if ((form != "RIFF" && form != "RF64" && form != "BW64") || std::memcmp(head + 8, "WAVE", 4) != 0) {
    throw Problem(path_ + " is no WAV file; leave out --stream and let the service read it");
  }
  bool isLarge = false;
  uint64_t large = 0;
  while (true) {
    read(head, 8);
    const std::string name(reinterpret_cast<char*>(head), 4);
    uint64_t bytes = fromLittle(head + 4, 4);
    const uint64_t start = ftello(file.get());
    if (name == "ds64") {
      read(head, 16);
      isLarge = true;
      large = fromLittle(head + 8, 8);
    } else if (name == "fmt ") {
      readFormat(file.get(), bytes);
    } else if (name == "data") {
      if (format_.channels() == 0) throw Problem(path_ + " has no fmt chunk before its audio; export it again");
      // Longer than 32 bits say, or a recording that was never completed.
      if (bytes == 0xFFFFFFFF) bytes = isLarge ? large : size - start;
      if (bytes > size - start) throw Problem(path_ + " is cut off: not all of its audio is there; copy it again");
      start_ = start;
      bytes_ = bytes;
      return;
    }
    if (fseeko(file.get(), start + bytes + (bytes & 1), SEEK_SET) != 0) throw Problem(path_ + ": " + std::strerror(errno));
  }
}

void WavFile::readFormat(std::FILE* file, uint64_t size) {
  unsigned char fmt[26];
  const size_t wanted = size >= 26 ? 26 : 16;
  if (size < 16 || std::fread(fmt, 1, wanted, file) < wanted) {
    throw Problem(path_ + " ends within its header; copy or export it again");
  }
  int code = fromLittle(fmt, 2);
  const int bits = fromLittle(fmt + 14, 2);
  if (code == kExtensible && wanted == 26) code = fromLittle(fmt + 24, 2);
  for (const Layout& layout : kLayouts) {
    if (layout.code == code && 8 * layout.bytes == bits) {
      format_.set_encoding(layout.encoding);
      format_.set_channels(fromLittle(fmt + 2, 2));
      format_.set_sample_rate_hz(fromLittle(fmt + 4, 4));
      return;
    }
  }
  throw Problem(path_ + " holds samples of " + std::to_string(bits) + " bits (format " + std::to_string(code) +
                "); 16, 24 or 32-bit integers or 32-bit floats can be streamed; leave out --stream and let the service read it");
}

void WavFile::read(const std::function<bool(const std::string&)>& take) const {
  File file(std::fopen(path_.c_str(), "rb"));
  if (!file || fseeko(file.get(), start_, SEEK_SET) != 0) throw Problem(path_ + ": " + std::strerror(errno));
  std::string piece;
  for (uint64_t left = bytes_; left > 0; left -= piece.size()) {
    piece.resize(left < kChunkBytes ? left : kChunkBytes);
    piece.resize(std::fread(&piece[0], 1, piece.size(), file.get()));
    if (piece.empty()) throw Problem(path_ + " became shorter while it was read; try again");
    if (!take(piece)) return;
  }
}

WavWriter::WavWriter(std::string path) : path_(std::move(path)) {
  part_ = path_ + "." + std::to_string(getpid()) + ".part";
  struct stat status;
  if (lstat(path_.c_str(), &status) == 0) throw Problem(path_ + " is there already and is not replaced; give another name");
}

WavWriter::~WavWriter() {
  if (file_) std::remove(part_.c_str());  // it was not completed
}

void WavWriter::begin(const v1::PcmFormat& format) {
  format_ = format;
  file_.reset(std::fopen(part_.c_str(), "wbx"));
  if (!file_) throw Problem(path_ + " cannot be written: " + std::strerror(errno));
  put(header());
}

void WavWriter::write(const std::string& piece) {
  bytes_ += piece.size();
  if (bytes_ > 0xFFFFFFFF - 100) throw Problem(path_ + " would pass 4 GiB; leave out --stream and let the service write it");
  put(piece);
}

void WavWriter::put(const std::string& bytes) {
  if (std::fwrite(bytes.data(), 1, bytes.size(), file_.get()) < bytes.size()) {
    throw Problem(path_ + " cannot be written: " + std::strerror(errno));
  }
}

std::string WavWriter::header() const {
  const Layout& sample = layout(format_.encoding());
  const int channels = format_.channels();
  const bool isExtensible = sample.code == kPcm && (channels > 2 || sample.bytes > 2);  // such a header is asked for then
  std::string fmt = little(isExtensible ? kExtensible : sample.code, 2) + little(channels, 2) +
                    little(format_.sample_rate_hz(), 4) + little(format_.sample_rate_hz() * frameBytes(format_), 4) +
                    little(frameBytes(format_), 2) + little(8 * sample.bytes, 2);
  if (isExtensible) {
    fmt += little(22, 2) + little(8 * sample.bytes, 2) + little(0, 4) + little(sample.code, 4) + little(0x00100000, 4) +
           little(0x719B3800AA000080, 8);
  }
  const std::string chunks = "fmt " + little(fmt.size(), 4) + fmt + "data" + little(bytes_, 4);
  return "RIFF" + little(4 + chunks.size() + bytes_ + (bytes_ & 1), 4) + "WAVE" + chunks;
}

void WavWriter::finish() {
  if (!file_) throw Problem("the service sent no sound for " + path_);
  put(std::string(bytes_ & 1, '\0'));
  std::fseek(file_.get(), 0, SEEK_SET);
  put(header());
  if (std::fflush(file_.get()) != 0 || fsync(fileno(file_.get())) != 0 || std::rename(part_.c_str(), path_.c_str()) != 0) {
    throw Problem(path_ + " cannot be written: " + std::strerror(errno));
  }
  file_.reset();
}

}  // namespace takewright
