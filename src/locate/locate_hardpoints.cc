// SPDX-License-Identifier: Apache-2.0
#include "locate/locate_hardpoints.h"

#include <Eigen/Cholesky>

#include "locate/locator.h"
#include "locate/pointer.h"

namespace pivotfix {

namespace {

using Eigen::Index;
using Eigen::MatrixXd;

// The same covariance with its datum in all tags together instead of in one (S-transformation: Baarda,
// "S-Transformations and Criterion Matrices", Netherlands Geodetic Commission, 1973, from memory). A tag far
// from the datum is unsure by millimetres together with its neighbours; fits of how they moved are not linear
// enough for that.
MatrixXd with_datum_in_all_tags(const Network& network) {
  constexpr double turn_counts_as_mm = 40.0;  // a tag's side
  const MatrixXd& covariance = network.tag_covariance;
  MatrixXd together = MatrixXd::Zero(covariance.rows(), 6);
  Eigen::VectorXd weights = Eigen::VectorXd::Ones(covariance.rows());
  for (std::size_t i = 0; i < network.tags.size(); ++i) {
    const auto row = 6 * static_cast<Index>(i);
    together.block<3, 3>(row, 0).setIdentity();
    together.block<3, 3>(row, 3) = -cross_matrix(network.tags[i].network_from_tag.translation_mm);
    together.block<3, 3>(row + 3, 3).setIdentity();
    weights.segment<3>(row + 3).setConstant(turn_counts_as_mm * turn_counts_as_mm);
  }
  const MatrixXd weighed = together.transpose() * weights.asDiagonal();
  const MatrixXd common = MatrixXd(weighed * together).ldlt().solve(weighed);
  const MatrixXd left = covariance - together * (common * covariance);
  const MatrixXd both = left - (left * common.transpose()) * together.transpose();
  return 0.5 * (both + both.transpose());
}

}  // namespace

Located locate(const Network& network, const HardpointQuestion& question) {
  Network whole = network;
  whole.tag_covariance = with_datum_in_all_tags(network);
  const RigidNetwork rigid = with_rigid_bodies(whole, question.bodies);
  HardpointQuestion of_what_counts = question;
  of_what_counts.bodies = rigid.bodies;
  const std::vector<std::string> left_out =
      leave_out_unusable_positions(TracedNetwork(rigid.network, 0, rigid.bodies), of_what_counts);
  Located located = Locator(rigid, of_what_counts).locate();
  located.notes.insert(located.notes.begin(), left_out.begin(), left_out.end());
  return located;
}

}  // namespace pivotfix
