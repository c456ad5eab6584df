// A client of the Takewright service: each operation on a file that the service reads, or on audio of this program.
#pragma once

#include <grpcpp/grpcpp.h>

#include <chrono>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <thread>
#include <variant>
#include <vector>

#include "takewright/v1/library.grpc.pb.h"
#include "takewright/v1/naming.grpc.pb.h"
#include "takewright/v1/operations.grpc.pb.h"
#include "takewright/v1/server.grpc.pb.h"
#include "takewright/v1/session.grpc.pb.h"
#include "wav.hpp"

namespace takewright {

/** What a call was refused with. */
struct Refused : Problem {
  Refused(const grpc::Status& status, const std::string& line) : Problem(line), code(status.error_code()) {}

  grpc::StatusCode code;
};

struct Options {
  std::string server = "127.0.0.1:7171";
  std::string tokenFile;  // empty: the one that a service of this user writes
  std::string tlsCa;      // certificate of the CA of a service on another machine (PEM); empty: none is needed
  double timeoutS = 600;  // how long a call may take
};

/** A path that the service reads, or audio of this program. */
using Source = std::variant<std::string, WavFile>;

/** Takes the sound that a call returns: first its format, then its pieces. */
struct Sink {
  std::function<void(const v1::PcmFormat&)> begin;
  std::function<void(const std::string&)> write;
};

class Client {
 public:
  explicit Client(Options options);

  const Options& options() const { return options_; }

  /** The settings of a call without a deadline: the token, read anew, since a service that starts again has another. */
  std::unique_ptr<grpc::ClientContext> context() const;

  /** The same with the deadline that the options say. */
  std::unique_ptr<grpc::ClientContext> timedContext() const;

  /** Throws what a call was refused with, in one line that says what to do. */
  void require(const grpc::Status& status) const;

  /** The version, limits, formats and granted folders of the service. */
  v1::GetServerInfoResponse info() const;

  /** The regions of a take; sets its sample rate in hertz. */
  std::vector<v1::Region> segment(const Source& take, v1::SegmentConfig config, int* rateHz) const;
  v1::SampleFacts analyse(const Source& sample, v1::AnalyseConfig config) const;

  /** Each makes sound: the service writes it to `output`, or, if that is empty, it goes to `sink`. */
  v1::DenoiseReport denoise(const Source&, const std::string& output, const Sink& sink, v1::DenoiseConfig) const;
  v1::RetuneReport retune(const Source&, const std::string& output, const Sink& sink, v1::RetuneConfig) const;
  v1::LayerReport layer(const Source&, const std::string& output, const Sink& sink, v1::LayerConfig) const;

  /** Starts a build, which goes on without its caller; its id. */
  std::string startBuild(const std::string& sheet, const std::string& outputFolder) const;

  /** Continues a build that was cancelled, failed or was cut off by the end of its service; its id. */
  std::string resumeBuild(const std::string& id) const;

  /** Hands on the progress of a build, then its result once the pictures are there too; without a deadline. */
  void watchBuild(const std::string& id, const std::function<void(const v1::WatchBuildResponse&)>& take) const;

  std::string formatName(const v1::NameFacts& facts) const;
  v1::NameFacts parseName(const std::string& name) const;

  const std::shared_ptr<grpc::Channel>& channel() const { return channel_; }

 private:
  template <class Request, class Stream, class Config>
  std::thread ask(Stream& stream, const Source& source, Config config) const;
  template <class Report, class Request, class Response, class Config>
  Report change(grpc::ClientContext& context, std::unique_ptr<grpc::ClientReaderWriter<Request, Response>> stream,
                const Source& source, const std::string& output, const Sink& sink, Config config) const;

  Options options_;
  std::shared_ptr<grpc::Channel> channel_;
};

/** Takes what happens while a session is followed. */
struct FollowEvents {
  std::function<void(const v1::FollowSessionResponse&)> heard;
  std::function<void(const std::string&)> say;  // takes a line about each drop and its outcome
};

/**
 * Sends what `read` gives (at most so many bytes; 0 at its end) while it arrives. After a dropped connection it calls
 * again, continues the session where the service stands, and the notes are reported once more.
 */
void follow(const Client& client, const v1::FollowSessionConfig& config, const std::function<long(char*, size_t)>& read,
            const FollowEvents& events);

}  // namespace takewright
