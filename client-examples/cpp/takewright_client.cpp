// A small client of the Takewright service, to copy from.
//
//   takewright-client segment FILE       the regions of a take, one line each
//   takewright-client analyse FILE...    note, cents and loudness of samples, one line each
//
// It starts in milliseconds, so that an editor's hook can spawn it for every selection. The service
// reads the files; lines are separated by tabs and begin with a header.
#include <grpcpp/grpcpp.h>

#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <iostream>
#include <memory>
#include <stdexcept>
#include <string>
#include <vector>

#include "takewright/v1/operations.grpc.pb.h"

namespace v1 = takewright::v1;

namespace {

/** Something to tell the user in one line. */
struct Problem : std::runtime_error {
  using std::runtime_error::runtime_error;
};

struct Options {
  std::string server = "127.0.0.1:7171";
  std::string tokenFile;
  std::string verb;
  std::vector<std::string> files;
};

Options parse(int count, char** words) {
  Options options;
  for (int i = 1; i < count; i++) {
    std::string word = words[i];
    if (word == "--server" || word == "--token-file") {
      if (++i == count) throw Problem(word + " needs a value");
      (word == "--server" ? options.server : options.tokenFile) = words[i];
    } else if (options.verb.empty()) {
      options.verb = word;
    } else {
      options.files.push_back(word);
    }
  }
  bool isKnown = options.verb == "analyse" || (options.verb == "segment" && options.files.size() == 1);
  if (!isKnown || options.files.empty()) {
    throw Problem("usage: takewright-client segment FILE | analyse FILE... [--server HOST:PORT] [--token-file FILE]");
  }
  if (options.tokenFile.empty()) {
    const char* home = std::getenv("HOME");
    options.tokenFile = std::string(home ? home : ".") + "/.takewright/token-" +
                        options.server.substr(options.server.rfind(':') + 1);
  }
  return options;
}

std::string readToken(const Options& options) {
  std::ifstream in(options.tokenFile);
  std::string token;
  if (!(in >> token)) {
    throw Problem(options.tokenFile +
                  " is not there; start the service with ./takewright serve, or give --token-file");
  }
  return token;
}

/** The service's own working directory is another one, so it wants the whole path. */
std::string absolute(const std::string& file) {
  std::unique_ptr<char, decltype(&std::free)> real(realpath(file.c_str(), nullptr), &std::free);
  if (!real) throw Problem(file + " is not there");
  return real.get();
}

void require(const grpc::Status& status, const Options& options) {
  static const char* const codes[] = {
      "OK", "CANCELLED", "UNKNOWN", "INVALID_ARGUMENT", "DEADLINE_EXCEEDED", "NOT_FOUND",
      "ALREADY_EXISTS", "PERMISSION_DENIED", "RESOURCE_EXHAUSTED", "FAILED_PRECONDITION", "ABORTED",
      "OUT_OF_RANGE", "UNIMPLEMENTED", "INTERNAL", "UNAVAILABLE", "DATA_LOSS", "UNAUTHENTICATED"};
  if (status.ok()) return;
  if (status.error_code() == grpc::StatusCode::UNAVAILABLE) {
    throw Problem("no service answers at " + options.server + "; start it with ./takewright serve");
  }
  throw Problem(std::string(codes[status.error_code()]) + ": " + status.error_message());
}

/** Settings first; the service reads the file, so that nothing follows. */
template <class Stream, class Request>
void ask(Stream& stream, const std::string& file) {
  Request request;
  request.mutable_config()->mutable_input()->set_file(absolute(file));
  stream.Write(request);
  stream.WritesDone();
}

void segment(v1::OperationsService::Stub& service, const Options& options, const std::string& token) {
  grpc::ClientContext context;
  context.AddMetadata("authorization", "Bearer " + token);
  auto stream = service.Segment(&context);
  ask<decltype(*stream), v1::SegmentRequest>(*stream, options.files[0]);
  std::vector<v1::Region> regions;
  double rate = 0;
  v1::SegmentResponse answer;
  while (stream->Read(&answer)) {
    if (answer.has_region()) regions.push_back(answer.region());
    if (answer.has_summary()) rate = answer.summary().sample_rate_hz();
  }
  require(stream->Finish(), options);
  std::printf("start_s\tonset_s\tend_s\tnote\n");
  int rejected = 0;
  for (const v1::Region& region : regions) {
    if (region.status() == v1::REGION_STATUS_REJECTED) {
      rejected++;
      continue;
    }
    std::printf("%.6f\t%.6f\t%.6f\t%s\n", region.start_frame() / rate, region.onset_frame() / rate,
                region.end_frame() / rate, region.pitch().note().c_str());
  }
  if (rejected > 0) std::fprintf(stderr, "%d rejected\n", rejected);
}

void analyse(v1::OperationsService::Stub& service, const Options& options, const std::string& token) {
  std::printf("file\tnote\tcents\tlevel_lufs\n");
  for (const std::string& file : options.files) {
    grpc::ClientContext context;
    context.AddMetadata("authorization", "Bearer " + token);
    auto stream = service.Analyse(&context);
    ask<decltype(*stream), v1::AnalyseRequest>(*stream, file);
    v1::AnalyseResponse answer;
    v1::SampleFacts facts;
    while (stream->Read(&answer)) {
      if (answer.has_facts()) facts = answer.facts();
    }
    require(stream->Finish(), options);
    std::printf("%s\t%s\t%s\t%.2f\n", file.c_str(), facts.pitch().note().c_str(),
                facts.has_pitch() ? std::to_string(facts.pitch().cents()).c_str() : "",
                facts.level_lufs());
  }
}

}  // namespace

int main(int count, char** words) {
  try {
    Options options = parse(count, words);
    std::string token = readToken(options);
    auto channel = grpc::CreateChannel(options.server, grpc::InsecureChannelCredentials());
    auto service = v1::OperationsService::NewStub(channel);
    if (options.verb == "segment") {
      segment(*service, options, token);
    } else {
      analyse(*service, options, token);
    }
    return 0;
  } catch (const Problem& problem) {
    std::cerr << "takewright: " << problem.what() << "\n";
    return 2;
  }
}
