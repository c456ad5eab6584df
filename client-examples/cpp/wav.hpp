// WAV files as the audio of a call: read piece by piece, and written when a call returns sound.
#pragma once

#include <cstdint>
#include <cstdio>
#include <functional>
#include <memory>
#include <stdexcept>
#include <string>

#include "takewright/v1/audio.pb.h"

namespace takewright {

/** A problem to report to the user in one line. */
struct Problem : std::runtime_error {
  using std::runtime_error::runtime_error;
};

/** The service takes messages of up to 1 MiB. */
constexpr size_t kChunkBytes = 256 * 1024;

/** Bytes in a frame of this format. */
int frameBytes(const v1::PcmFormat& format);

struct Close {
  void operator()(std::FILE* file) const { std::fclose(file); }
};
using File = std::unique_ptr<std::FILE, Close>;

/**
 * A WAV file, of which only one piece at a time is in memory. Its header is that of the RIFF multimedia standards of
 * 1991 and 1994, with the extensible format that most programs write at 24 bits, and RF64 (EBU Tech 3306).
 */
class WavFile {
 public:
  explicit WavFile(std::string path);

  const v1::PcmFormat& format() const { return format_; }

  /** Hands the audio on in pieces that fit into a message, until all is read or `take` returns false. */
  void read(const std::function<bool(const std::string& piece)>& take) const;

 private:
  void readFormat(std::FILE* file, uint64_t size);

  std::string path_;
  v1::PcmFormat format_;
  uint64_t start_ = 0;
  uint64_t bytes_ = 0;
};

/** Writes a new WAV file, which appears under its name only when `finish` completes it. */
class WavWriter {
 public:
  explicit WavWriter(std::string path);
  ~WavWriter();

  /** Takes the format of the audio that follows. */
  void begin(const v1::PcmFormat& format);
  void write(const std::string& piece);
  void finish();

 private:
  std::string header() const;
  void put(const std::string& bytes);

  std::string path_;
  std::string part_;
  File file_;
  v1::PcmFormat format_;
  uint64_t bytes_ = 0;
};

}  // namespace takewright
